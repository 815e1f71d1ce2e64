//! A log to take along: as a table for spreadsheets, and as it is kept.

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;
use serde_json::{Value, json};

use super::model::{Batch, Logged};
use super::opened::{open, settings_of};
use super::paths;
use crate::app::App;
use crate::portability::sheet::{Column, table};
use crate::web::error::Error;
use crate::web::pages::Answer;
use crate::web::paths::Routes;
use crate::web::viewer::Member;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::LOG_CSV, as_table)
        .on(paths::LOG_JSON, as_kept)
}

const COLUMNS: &[Column] = &[
    ("entry", "/entry"),
    ("at (UTC)", "/at"),
    ("hours since the mixing", "/hours"),
    ("what", "/kind"),
    ("gravity", "/data/sg"),
    ("gravity as shown", "/data/read_sg"),
    ("sample °C", "/data/temperature_c"),
    ("must °C", "/data/must_temperature_c"),
    ("°Bx", "/data/brix"),
    ("pH", "/data/ph"),
    ("acidity g/L as tartaric", "/data/ta_g_per_l"),
    ("free SO2 mg/L", "/data/free_so2_mg_per_l"),
    ("volume L", "/data/volume_l"),
    ("name", "/data/name"),
    ("kg", "/data/kg"),
    ("litres", "/data/litres"),
    ("grams", "/data/grams"),
    ("words", "/data/text"),
    ("score of 5", "/data/score"),
    ("taken out", "/struck"),
    ("by", "/by"),
    ("all of it", "/data"),
];

fn entry(batch: &Batch, logged: &Logged) -> Result<Value, Error> {
    Ok(json!({
        "entry": logged.entry,
        "version": logged.version,
        "at": logged.at.to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
        "hours": batch.hours_at(logged.at),
        "kind": logged.deed.kind(),
        "data": serde_json::to_value(&logged.deed).map_err(Error::unexpected)?,
        "struck": logged.struck,
        "by": logged.by_name,
        "recorded_at": logged.recorded_at.to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
    }))
}

/// A batch that the member may see, with its entries.
async fn entries(app: &App, member: &Member, id: &str) -> Result<(Batch, Vec<Value>), Error> {
    let mut conn = app.pool.acquire().await?;
    let opened = open(&mut conn, Some(member.id), &settings_of(member), id).await?;
    let log = opened.log.iter();
    let entries = log
        .map(|logged| entry(&opened.batch, logged))
        .collect::<Result<_, _>>()?;
    Ok((opened.batch, entries))
}

async fn as_table(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let (_, entries) = entries(&app, &member, &id).await?;
    let body = table(COLUMNS, "", &entries);
    Ok((
        headers(
            "text/csv; charset=utf-8",
            "attachment; filename=\"log.csv\"",
        ),
        body,
    )
        .into_response())
}

async fn as_kept(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let (batch, entries) = entries(&app, &member, &id).await?;
    let whole = json!({
        "name": batch.name,
        "began_at": batch.began_at.to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
        "entries": entries,
    });
    let text = serde_json::to_string_pretty(&whole).map_err(Error::unexpected)?;
    let headers = headers(
        "application/json; charset=utf-8",
        "attachment; filename=\"log.json\"",
    );
    Ok((headers, text + "\n").into_response())
}

fn headers(kind: &'static str, attached: &'static str) -> [(header::HeaderName, &'static str); 2] {
    [
        (header::CONTENT_TYPE, kind),
        (header::CONTENT_DISPOSITION, attached),
    ]
}
