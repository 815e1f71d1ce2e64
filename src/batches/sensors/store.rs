//! Rows of sensors. Like other tokens they are judged by the database's clock.

use chrono::{DateTime, Utc};
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_scalar};

use super::model::{Fields, MOST, Sensor, Used};
use crate::batches::model::{BatchId, SaveError};
use crate::engine::Settings;
use crate::recipes::public_id::PublicId;
use crate::web::random;
use crate::web::viewer::MemberId;

/// The sensors of a batch that work, the newest first.
pub async fn list(conn: &mut PgConnection, batch: BatchId) -> Result<Vec<Sensor>, sqlx::Error> {
    let rows = query!(
        r#"select public_id as "public_id: PublicId", name, fields as "fields: Json<Fields>", last_used_at, version
           from batch_sensors where batch_id = $1 and ended_at is null order by id desc"#,
        batch.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Sensor {
            public_id: row.public_id,
            name: row.name,
            fields: row.fields.0,
            last_used_at: row.last_used_at,
            version: row.version,
        })
        .collect())
}

/// Makes a sensor of a batch that is held; false when it has as many as it may.
pub async fn make(
    conn: &mut PgConnection,
    (batch, by): (BatchId, MemberId),
    (name, fields): (&str, &Fields),
    token: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let public_id = PublicId::random().map_err(|fault| sqlx::Error::Encode(fault.into()))?;
    let made = query!(
        "insert into batch_sensors (public_id, batch_id, by_id, name, token_hash, fields, created_at, minute_began_at)
         select $1, $2, $3, $4, $5, $6, $7, $7
         where (select count(*) from batch_sensors where batch_id = $2 and ended_at is null) < $8",
        public_id.as_str(),
        batch.0,
        by.0,
        name,
        &random::hash_of(token)[..],
        Json(fields) as Json<&Fields>,
        now,
        MOST,
    );
    Ok(made.execute(conn).await?.rows_affected() == 1)
}

/// Changes what a working sensor is called and what it calls things, on top of the version that was seen. What it told stays as it
/// came.
pub async fn save(
    conn: &mut PgConnection,
    (batch, sensor, seen): (BatchId, &PublicId, i32),
    (name, fields): (&str, &Fields),
) -> Result<(), SaveError> {
    let done = query!(
        "update batch_sensors set name = $4, fields = $5, version = version + 1
         where batch_id = $1 and public_id = $2 and version = $3 and ended_at is null",
        batch.0,
        sensor.as_str(),
        seen,
        name,
        Json(fields) as Json<&Fields>,
    );
    match done.execute(conn).await?.rows_affected() {
        0 => Err(SaveError::Conflict),
        _ => Ok(()),
    }
}

/// Takes a sensor back; false when the batch has none of that name.
pub async fn end(
    conn: &mut PgConnection,
    batch: BatchId,
    sensor: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update batch_sensors set ended_at = coalesce(ended_at, $3) where batch_id = $1 and public_id = $2",
        batch.0,
        sensor,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Counts one post of a sensor and tells what it posts to; `None` when the token is unknown or taken back, or its member was
/// shut out. One statement, so that posts at once are all counted. Lists are due every ten minutes, each sensor at its own.
pub async fn use_token(
    conn: &mut PgConnection,
    token: &str,
    most_a_minute: i32,
) -> Result<Option<Used>, sqlx::Error> {
    let row = query!(
        r#"update batch_sensors s set last_used_at = now(),
               minute_began_at = case when s.minute_began_at <= now() - interval '1 minute' then now() else s.minute_began_at end,
               minute_uses = case when s.minute_began_at <= now() - interval '1 minute' then 1
                   else least(s.minute_uses, 1000000000) + 1 end
           from (select id, last_used_at from batch_sensors where token_hash = $1 for update) was,
               batches b, members m
           where s.id = was.id and s.ended_at is null and b.id = s.batch_id and m.id = b.owner_id and m.disabled_at is null
           returning s.public_id as "sensor: PublicId", s.name, s.fields as "fields: Json<Fields>", b.id as "batch: BatchId",
               b.public_id as "batch_id: PublicId", b.owner_id as "owner: MemberId", b.began_at,
               (b.ended_at is null and b.binned_at is null) as "is_open!", m.sachet_g::float8 as "sachet_g!", s.minute_uses,
               ceil(extract(epoch from s.minute_began_at + interval '1 minute' - now()))::int as "left!",
               (was.last_used_at is null or floor((extract(epoch from was.last_used_at) + 37 * s.id) / 600)
                   < floor((extract(epoch from now()) + 37 * s.id) / 600)) as "is_due!""#,
        &random::hash_of(token)[..]
    );
    let row = row.fetch_optional(conn).await?;
    Ok(row.map(|row| Used {
        sensor: row.sensor,
        name: row.name,
        fields: row.fields.0,
        batch: row.batch,
        batch_id: row.batch_id,
        owner: row.owner,
        began_at: row.began_at,
        is_open: row.is_open,
        settings: Settings {
            sachet_g: row.sachet_g,
        },
        wait: (row.minute_uses > most_a_minute)
            .then(|| u32::try_from(row.left).unwrap_or(1).max(1)),
        is_due: row.is_due,
    }))
}

/// The entry that a source calls so, if it is there already.
pub async fn find_source(
    conn: &mut PgConnection,
    batch: BatchId,
    source_key: &str,
) -> Result<Option<i32>, sqlx::Error> {
    query_scalar!(
        "select entry from batch_entries where batch_id = $1 and source_key = $2 and version = 1",
        batch.0,
        source_key
    )
    .fetch_optional(conn)
    .await
}

/// Lets lists show a gravity before the batch is reckoned anew.
pub async fn show_gravity(
    conn: &mut PgConnection,
    batch: BatchId,
    sg: f64,
    at: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "update batch_numbers set sg = $2, last_reading_at = $3
         where batch_id = $1 and (last_reading_at is null or last_reading_at <= $3)",
        batch.0,
        sg,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
