//! A log to take along, every minute of every sensor: as a table for spreadsheets, and as it is kept. It is sent while it is read.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;
use serde_json::{Value, json};

use super::log::store::{Place, beginning, next};
use super::model::{Batch, Logged};
use super::{paths, store};
use crate::app::App;
use crate::portability::sheet::{Column, head, lines};
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::flow::flow;
use crate::web::pages::Answer;
use crate::web::paths::Routes;
use crate::web::viewer::Member;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::LOG_CSV, as_table)
        .on(paths::LOG_JSON, as_kept)
}

/// Entries of one piece.
const PIECE: i64 = 1_000;

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
    ("liking of 9", "/data/liking"),
    ("score of 5", "/data/score"),
    ("taken out", "/struck"),
    ("by", "/by"),
    ("all of it", "/data"),
];

/// What something cost comes from its maker's cupboard, which nobody else sees.
fn entry(batch: &Batch, logged: &Logged, is_own: bool) -> Result<Value, Error> {
    let mut data = serde_json::to_value(&logged.deed).map_err(Error::unexpected)?;
    if let Some(data) = data.as_object_mut().filter(|_| !is_own) {
        data.remove("cost");
    }
    Ok(json!({
        "entry": logged.entry,
        "version": logged.version,
        "at": logged.at.to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
        "hours": batch.hours_at(logged.at),
        "kind": logged.deed.kind(),
        "data": data,
        "struck": logged.struck,
        "by": logged.by_name,
        "recorded_at": logged.recorded_at.to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
    }))
}

/// A batch that the member may see, and where its log begins.
async fn begin(app: &App, member: &Member, id: &str) -> Result<(Batch, Place), Error> {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let batch = store::find(&mut conn, Some(member.id), &id).await?;
    let batch = batch.ok_or_else(Error::not_found)?;
    let place = beginning(&mut conn, batch.id).await?;
    Ok((batch, place))
}

/// A log as it is sent: what stands before it, between pieces and after it, and how entries are written.
struct Form {
    is_own: bool,
    before: Vec<u8>,
    between: &'static str,
    after: &'static str,
    entries: fn(&[Value]) -> Vec<u8>,
}

/// No connection to the database is held while the reader takes a piece.
fn body(app: App, (batch, mut place): (Batch, Place), form: Form) -> Body {
    flow(move |pieces| async move {
        let mut piece = form.before;
        let mut is_first = true;
        loop {
            let mut conn = app.pool.acquire().await?;
            let found = next(&mut conn, batch.id, &mut place, PIECE).await?;
            drop(conn);
            if found.is_empty() {
                break;
            }
            let read = found
                .iter()
                .map(|logged| entry(&batch, logged, form.is_own));
            let read = read.collect::<Result<Vec<Value>, Error>>()?;
            if !is_first {
                piece.extend_from_slice(form.between.as_bytes());
            }
            is_first = false;
            piece.extend((form.entries)(&read));
            if !pieces.send(std::mem::take(&mut piece)).await {
                return Ok(());
            }
        }
        piece.extend_from_slice(form.after.as_bytes());
        pieces.send(piece).await;
        Ok(())
    })
}

async fn as_table(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let begun = begin(&app, &member, &id).await?;
    let form = Form {
        is_own: begun.0.owner == member.id,
        before: head(COLUMNS),
        between: "",
        after: "",
        entries: |entries| lines(COLUMNS, "", entries),
    };
    let headers = headers(
        "text/csv; charset=utf-8",
        "attachment; filename=\"log.csv\"",
    );
    Ok((headers, body(app, begun, form)).into_response())
}

async fn as_kept(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let begun = begin(&app, &member, &id).await?;
    let about = json!({
        "name": begun.0.name,
        "began_at": begun.0.began_at.to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
    });
    let about = about.to_string();
    let form = Form {
        is_own: begun.0.owner == member.id,
        before: format!(
            "{},\"entries\":[\n",
            about.strip_suffix('}').unwrap_or(&about)
        )
        .into_bytes(),
        between: ",\n",
        after: "\n]}\n",
        entries: each_on_a_line,
    };
    let headers = headers(
        "application/json; charset=utf-8",
        "attachment; filename=\"log.json\"",
    );
    Ok((headers, body(app, begun, form)).into_response())
}

fn each_on_a_line(entries: &[Value]) -> Vec<u8> {
    let texts: Vec<String> = entries.iter().map(Value::to_string).collect();
    texts.join(",\n").into_bytes()
}

fn headers(kind: &'static str, attached: &'static str) -> [(header::HeaderName, &'static str); 2] {
    [
        (header::CONTENT_TYPE, kind),
        (header::CONTENT_DISPOSITION, attached),
    ]
}
