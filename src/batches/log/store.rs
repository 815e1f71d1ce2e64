//! Entries of logs. An entry is written once; corrections are versions of it. Of what sensors tell, the last of each hour is read.

use std::collections::{BTreeMap, HashSet};

use chrono::{DateTime, Utc};
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_as, query_scalar};

use crate::batches::model::{BatchId, Heard, Logged, NewEntry, SaveError};
use crate::engine::json::Json as Read;
use crate::engine::log::{Deed, read};

struct EntryRow {
    entry: i32,
    version: i32,
    kind: String,
    at: DateTime<Utc>,
    recorded_at: DateTime<Utc>,
    by_name: String,
    data: String,
    typed: Json<BTreeMap<String, String>>,
    struck: bool,
    came_from: String,
    readings: Option<i32>,
    sg_low: Option<f64>,
    sg_high: Option<f64>,
    must_low_c: Option<f64>,
    must_high_c: Option<f64>,
}

impl TryFrom<EntryRow> for Logged {
    type Error = sqlx::Error;

    fn try_from(row: EntryRow) -> Result<Logged, sqlx::Error> {
        let deed = Read::parse(&row.data).ok();
        let deed = deed.and_then(|data| read::deed(&row.kind, &data).ok());
        let deed = deed.ok_or_else(|| sqlx::Error::Decode("an entry does not read".into()))?;
        Ok(Logged {
            entry: row.entry,
            version: row.version,
            deed,
            at: row.at,
            recorded_at: row.recorded_at,
            by_name: row.by_name,
            typed: row.typed.0,
            struck: row.struck,
            came_from: row.came_from,
            heard: row.readings.map(|readings| Heard {
                readings,
                sg: row.sg_low.zip(row.sg_high),
                must_temperature_c: row.must_low_c.zip(row.must_high_c),
            }),
        })
    }
}

/// The log that is reckoned with and shown, in the order of its times: every entry in the version that counts, struck ones
/// included, but of each sensor the last reading of each hour. A sensor writes for the owner of its batch.
pub async fn entries(conn: &mut PgConnection, batch: BatchId) -> Result<Vec<Logged>, sqlx::Error> {
    let rows = query_as!(
        EntryRow,
        r#"select t.entry as "entry!", t.version as "version!", t.kind as "kind!", t.at as "at!",
               t.recorded_at as "recorded_at!", m.name as "by_name!", t.data::text as "data!",
               t.typed as "typed!: Json<BTreeMap<String, String>>", t.struck as "struck!", t.came_from as "came_from!",
               t.readings as "readings?", t.sg_low as "sg_low?", t.sg_high as "sg_high?", t.must_low_c as "must_low_c?",
               t.must_high_c as "must_high_c?"
           from (
               (select distinct on (e.entry) e.entry, e.version, e.kind, e.at, e.recorded_at, e.by_id, e.data, e.typed,
                    e.struck, e.came_from, null::integer as readings, null::double precision as sg_low,
                    null::double precision as sg_high, null::double precision as must_low_c,
                    null::double precision as must_high_c
                from batch_entries e
                where e.batch_id = $1
                    and not (e.came_from = 'sensor' and e.kind = 'reading' and e.version = 1 and not e.struck)
                order by e.entry, e.version desc)
               union all
               select h.entry, 1, 'reading', h.at, h.recorded_at, b.owner_id, h.data, '{}', false, 'sensor', h.readings,
                   h.sg_low, h.sg_high, h.must_low_c, h.must_high_c
               from batch_sensor_hours h join batches b on b.id = h.batch_id
               where h.batch_id = $1
           ) t join members m on m.id = t.by_id
           order by t.at, t.entry"#,
        batch.0,
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    rows.map(Logged::try_from).collect()
}

/// Which of these keys of sources the log of a batch knows, whatever became of their entries.
pub async fn known(
    conn: &mut PgConnection,
    batch: BatchId,
    keys: &[String],
) -> Result<HashSet<String>, sqlx::Error> {
    let known = query_scalar!(
        r#"select source_key as "source_key!" from batch_entries
           where batch_id = $1 and version = 1 and source_key = any($2)"#,
        batch.0,
        keys,
    );
    Ok(known.fetch_all(conn).await?.into_iter().collect())
}

/// A log as it stood when somebody began to read it, and the place up to which they have read.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// The newest row of it; what is written later is not read.
    newest: i64,
    after: Option<(DateTime<Utc>, i32)>,
}

/// Where the whole of a log begins.
pub async fn beginning(conn: &mut PgConnection, batch: BatchId) -> Result<Place, sqlx::Error> {
    let newest = query_scalar!(
        r#"select coalesce(max(id), 0) as "newest!" from batch_entries where batch_id = $1"#,
        batch.0
    );
    Ok(Place {
        newest: newest.fetch_one(conn).await?,
        after: None,
    })
}

/// What comes next of the whole log, every minute of every sensor, in the order of its times; at most so many, and none at its end.
pub async fn next(
    conn: &mut PgConnection,
    batch: BatchId,
    place: &mut Place,
    most: i64,
) -> Result<Vec<Logged>, sqlx::Error> {
    let (after_at, after_entry) = place.after.unzip();
    let rows = query_as!(
        EntryRow,
        r#"select e.entry, e.version, e.kind, e.at, e.recorded_at, m.name as by_name, e.data::text as "data!",
               e.typed as "typed: Json<BTreeMap<String, String>>", e.struck, e.came_from, null::integer as readings,
               null::double precision as sg_low, null::double precision as sg_high,
               null::double precision as must_low_c, null::double precision as must_high_c
           from batch_entries e join members m on m.id = e.by_id
           where e.batch_id = $1 and e.id <= $2 and (e.at, e.entry) > (coalesce($3, '-infinity'::timestamptz), coalesce($4, 0))
               and not exists (select from batch_entries n
                   where n.batch_id = e.batch_id and n.entry = e.entry and n.version > e.version and n.id <= $2)
           order by e.at, e.entry limit $5"#,
        batch.0,
        place.newest,
        after_at,
        after_entry,
        most,
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    let found: Vec<Logged> = rows.map(Logged::try_from).collect::<Result<_, _>>()?;
    if let Some(last) = found.last() {
        place.after = Some((last.at, last.entry));
    }
    Ok(found)
}

/// All versions of one entry, the newest first.
pub async fn versions(
    conn: &mut PgConnection,
    batch: BatchId,
    entry: i32,
) -> Result<Vec<Logged>, sqlx::Error> {
    let rows = query_as!(
        EntryRow,
        r#"select e.entry, e.version, e.kind, e.at, e.recorded_at, m.name as by_name, e.data::text as "data!",
               e.typed as "typed: Json<BTreeMap<String, String>>", e.struck, e.came_from, null::integer as readings,
               null::double precision as sg_low, null::double precision as sg_high,
               null::double precision as must_low_c, null::double precision as must_high_c
           from batch_entries e join members m on m.id = e.by_id
           where e.batch_id = $1 and e.entry = $2 order by e.version desc"#,
        batch.0,
        entry,
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    rows.map(Logged::try_from).collect()
}

/// Writes an entry into a batch that is held; what its source sent before is not written again. The number of the entry.
pub async fn add(
    conn: &mut PgConnection,
    batch: BatchId,
    new: &NewEntry,
    now: DateTime<Utc>,
) -> Result<i32, sqlx::Error> {
    if let Some(key) = &new.source_key {
        let there = query_scalar!(
            "select entry from batch_entries where batch_id = $1 and source_key = $2 and version = 1",
            batch.0,
            key
        );
        if let Some(entry) = there.fetch_optional(&mut *conn).await? {
            return Ok(entry);
        }
    }
    query_scalar!(
        "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, typed, came_from, source_key)
         select $1, coalesce(max(entry), 0) + 1, 1, $2, $3, $4, $5, $6, $7, $8, $9 from batch_entries where batch_id = $1
         returning entry",
        batch.0,
        new.deed.kind(),
        new.at,
        now,
        new.by.0,
        Json(&new.deed) as Json<&Deed>,
        Json(&new.typed) as Json<&BTreeMap<String, String>>,
        new.came_from.word(),
        new.source_key,
    )
    .fetch_one(conn)
    .await
}

/// Writes a further version of an entry of a held batch, on top of the version that was seen.
pub async fn correct(
    conn: &mut PgConnection,
    batch: BatchId,
    (entry, seen): (i32, i32),
    new: &NewEntry,
    struck: bool,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let newest = query_scalar!(
        "select max(version) from batch_entries where batch_id = $1 and entry = $2",
        batch.0,
        entry
    );
    match newest.fetch_one(&mut *conn).await? {
        None => return Err(SaveError::NotFound),
        Some(newest) if newest != seen => return Err(SaveError::Conflict),
        Some(_) => {}
    }
    query!(
        "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, typed, struck, came_from)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
        batch.0,
        entry,
        seen + 1,
        new.deed.kind(),
        new.at,
        now,
        new.by.0,
        Json(&new.deed) as Json<&Deed>,
        Json(&new.typed) as Json<&BTreeMap<String, String>>,
        struck,
        new.came_from.word(),
    )
    .execute(conn)
    .await?;
    Ok(())
}
