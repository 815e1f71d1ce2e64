//! What a sensor posts: one reading of its batch, under the sensor's own token.

use axum::Router;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path, RawQuery, State};
use axum::http::{HeaderMap, HeaderName, StatusCode};
use axum::response::Response;
use serde::Serialize;
use sqlx::PgConnection;

use super::fault::{Answer, Fault, Refusal, json, no_json, text_of};
use super::paths;
use super::recipes::asked;
use crate::app::App;
use crate::batches::model::{CameFrom, NewEntry};
use crate::batches::opened::refresh_for;
use crate::batches::sensors::model::Used;
use crate::batches::sensors::reading::{self, Read};
use crate::batches::sensors::store as sensors;
use crate::batches::store;
use crate::engine::json::NotJson;
use crate::engine::log::Deed;
use crate::members::middleware::bearer;
use crate::web::Error;
use crate::web::paths::Routes;

const KEY: HeaderName = HeaderName::from_static("idempotency-key");

/// What a sensor's token opens.
pub fn router() -> Router<App> {
    Routes::of(paths::OF_SENSORS)
        .on(paths::READINGS, post)
        .done()
        .layer(DefaultBodyLimit::max(reading::MAX_BYTES))
}

/// The entry that it became.
#[derive(Serialize)]
struct Written {
    entry: i32,
}

async fn post(
    State(app): State<App>,
    Path(id): Path<String>,
    headers: HeaderMap,
    RawQuery(query): RawQuery,
    body: Result<Bytes, BytesRejection>,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let used = who(&app, &headers, &id).await?;
    let read = read_of(&app, &used, &body)?;
    let key = source_key(&used, &headers, &read)?;
    let mut tx = app.pool.begin().await?;
    store::hold(&mut tx, used.owner, used.batch).await?;
    if let Some(key) = &key
        && let Some(entry) = sensors::find_source(&mut tx, used.batch, key).await?
    {
        return Ok(written(StatusCode::OK, entry));
    }
    let entry = write(&app, &mut tx, &used, read, key).await?;
    tx.commit().await?;
    Ok(written(StatusCode::CREATED, entry))
}

fn written(status: StatusCode, entry: i32) -> Response {
    json(status, "application/json", &Written { entry })
}

/// The sensor that posts to this batch. Its post is counted whatever becomes of it.
async fn who(app: &App, headers: &HeaderMap, id: &str) -> Result<Used, Refusal> {
    let token = bearer(headers).ok_or_else(Error::sign_in)?;
    let mut conn = app.pool.acquire().await?;
    let used = sensors::use_token(&mut conn, token, app.api_per_minute).await?;
    let used = used.ok_or_else(Error::sign_in)?;
    match used.wait {
        Some(seconds) => Err(Error::too_often(seconds).into()),
        None if used.batch_id.as_str() == id && used.is_open => Ok(used),
        None => Err(Error::not_found().into()),
    }
}

fn read_of(app: &App, used: &Used, body: &Result<Bytes, BytesRejection>) -> Result<Read, Refusal> {
    let sent = reading::sent(text_of(body)?).map_err(|NotJson(why)| no_json(why))?;
    let read = reading::read(&used.fields, &sent, app.clock.now(), used.began_at);
    Ok(read.map_err(|problems| {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        Fault::new(status, "The reading has problems").problems(problems)
    })?)
}

/// What the post is known by.
fn source_key(used: &Used, headers: &HeaderMap, read: &Read) -> Result<Option<String>, Refusal> {
    let given = headers.get(KEY).map(|key| key.to_str().unwrap_or_default());
    let shaped =
        |key: &str| (1..=100).contains(&key.len()) && key.bytes().all(|b| b.is_ascii_graphic());
    match given {
        Some(key) if !shaped(key) => {
            Err(Fault::new(StatusCode::BAD_REQUEST, "The key is not taken")
                .detail("Send an Idempotency-Key of 1 to 100 visible characters, or none.")
                .into())
        }
        given => Ok(reading::source_key(used.sensor.as_str(), given, read)),
    }
}

/// Writes it, and lets lists know: its gravity at once, all that is reckoned from the log every ten minutes.
async fn write(
    app: &App,
    conn: &mut PgConnection,
    used: &Used,
    read: Read,
    source_key: Option<String>,
) -> Result<i32, Refusal> {
    let now = app.clock.now();
    let mut data = read.data;
    data.instrument = Some(used.name.clone());
    let (sg, at) = (data.sg, read.at.unwrap_or(now));
    let new = NewEntry {
        came_from: CameFrom::Sensor,
        source_key,
        ..NewEntry::of(Deed::Reading(data), at, used.owner)
    };
    let entry = store::add(conn, used.batch, &new, now).await?;
    if used.is_due {
        refresh_for(conn, used.owner, &used.settings, &used.batch_id).await?;
    } else if let Some(sg) = sg {
        sensors::show_gravity(conn, used.batch, sg, at).await?;
    }
    Ok(entry)
}
