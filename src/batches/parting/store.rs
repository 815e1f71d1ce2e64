//! What parting reads and writes besides batches and entries.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_scalar};

use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Writes the log of a batch up to an instant into another, as it counts: what was struck is left out, and of each sensor the last
/// reading of each hour is taken; every minute stays where it was told. Instants and words stay; readings of sensors stay those.
pub async fn copy_log(
    conn: &mut PgConnection,
    (from, to): (BatchId, BatchId),
    until: DateTime<Utc>,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, typed, came_from, source_key)
         select $2, row_number() over (order by e.at, e.entry), 1, e.kind, e.at, $4, e.by_id, e.data, e.typed,
             case e.came_from when 'sensor' then 'sensor' else 'import' end, e.source_key
         from (
             (select distinct on (entry) entry, kind, at, by_id, data, typed, came_from, source_key, struck
              from batch_entries
              where batch_id = $1 and not (came_from = 'sensor' and kind = 'reading' and version = 1 and not struck)
              order by entry, version desc)
             union all
             select t.entry, t.kind, t.at, t.by_id, t.data, t.typed, t.came_from, t.source_key, false
             from batch_sensor_hours h
             join batch_entries t on t.batch_id = h.batch_id and t.entry = h.entry and t.version = 1
             where h.batch_id = $1 and h.hour < hour_of($3)
             union all
             -- The hour in which it is cut may have had later readings.
             (select distinct on (r.instrument) t.entry, t.kind, t.at, t.by_id, t.data, t.typed, t.came_from, t.source_key, false
              from batch_sensor_readings r
              join batch_entries t on t.batch_id = r.batch_id and t.entry = r.entry and t.version = 1
              where r.batch_id = $1 and r.at >= to_timestamp(hour_of($3) * 3600) and r.at <= $3
              order by r.instrument, r.at desc, r.entry desc)
         ) e
         where not e.struck and e.at <= $3",
        from.0,
        to.0,
        until,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// How many parts a batch has already, wherever they are.
pub async fn count_parts(conn: &mut PgConnection, batch: BatchId) -> Result<i64, sqlx::Error> {
    query_scalar!(
        r#"select count(*) as "count!" from batches where parted_from_id = $1"#,
        batch.0
    )
    .fetch_one(conn)
    .await
}

/// The parts of a batch that the viewer may see: public id and name, the oldest first.
pub async fn parts(
    conn: &mut PgConnection,
    viewer: MemberId,
    batch: BatchId,
) -> Result<Vec<(PublicId, String)>, sqlx::Error> {
    let rows = query!(
        r#"select p.public_id as "public_id: PublicId", p.name from batches p
           where p.parted_from_id = $1 and p.binned_at is null and batch_visible(p, $2) order by p.id limit 50"#,
        batch.0,
        viewer.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows.map(|row| (row.public_id, row.name)).collect())
}
