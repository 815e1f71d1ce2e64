//! Refining series: each is its maker's alone; a batch of others is named in it while its maker may see it.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query};

use super::model::{Said, Series, SeriesId, Step};
use crate::batches::model::{BatchId, SaveError};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A member's series, the newest first.
pub async fn list(conn: &mut PgConnection, owner: MemberId) -> Result<Vec<Series>, sqlx::Error> {
    let rows = query!(
        r#"select s.id as "id: SeriesId", s.public_id as "public_id: PublicId", s.name, s.aim, s.version,
               (select count(*) from refining_steps t where t.series_id = s.id) as "batches!"
           from refining_series s where s.owner_id = $1 order by s.created_at desc, s.id desc limit 200"#,
        owner.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Series {
            id: row.id,
            public_id: row.public_id,
            name: row.name,
            aim: row.aim,
            version: row.version,
            batches: row.batches,
        })
        .collect())
}

/// A series of a member.
pub async fn find(
    conn: &mut PgConnection,
    owner: MemberId,
    series: &PublicId,
) -> Result<Option<Series>, sqlx::Error> {
    let row = query!(
        r#"select s.id as "id: SeriesId", s.public_id as "public_id: PublicId", s.name, s.aim, s.version,
               (select count(*) from refining_steps t where t.series_id = s.id) as "batches!"
           from refining_series s where s.owner_id = $1 and s.public_id = $2"#,
        owner.0,
        series.as_str()
    );
    Ok(row.fetch_optional(conn).await?.map(|row| Series {
        id: row.id,
        public_id: row.public_id,
        name: row.name,
        aim: row.aim,
        version: row.version,
        batches: row.batches,
    }))
}

/// Makes a series.
pub async fn make(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &PublicId,
    (name, aim): (&str, &str),
    now: DateTime<Utc>,
) -> Result<SeriesId, sqlx::Error> {
    let row = query!(
        r#"insert into refining_series (public_id, owner_id, name, aim, created_at) values ($1, $2, $3, $4, $5)
           returning id as "id: SeriesId""#,
        public_id.as_str(),
        owner.0,
        name,
        aim,
        now
    );
    Ok(row.fetch_one(conn).await?.id)
}

/// Changes name and aim, on top of the version that was seen.
pub async fn change(
    conn: &mut PgConnection,
    owner: MemberId,
    (series, seen): (&PublicId, i32),
    (name, aim): (&str, &str),
) -> Result<(), SaveError> {
    let done = query!(
        "update refining_series set name = $4, aim = $5, version = version + 1
         where public_id = $1 and owner_id = $2 and version = $3",
        series.as_str(),
        owner.0,
        seen,
        name,
        aim
    );
    match done.execute(&mut *conn).await?.rows_affected() {
        0 if find(conn, owner, series).await?.is_some() => Err(SaveError::Conflict),
        0 => Err(SaveError::NotFound),
        _ => Ok(()),
    }
}

/// The batches of a series in order.
pub async fn steps(
    conn: &mut PgConnection,
    owner: MemberId,
    series: SeriesId,
) -> Result<Vec<Step>, sqlx::Error> {
    let rows = query!(
        r#"select b.public_id as "batch: PublicId", case when batch_visible(b, $2) then b.name end as name,
               t.question, t.change, t.expected, t.decision, t.decided_at, t.version
           from refining_steps t join batches b on b.id = t.batch_id
           join refining_series s on s.id = t.series_id
           where t.series_id = $1 and s.owner_id = $2 order by t.place, t.batch_id"#,
        series.0,
        owner.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Step {
            batch: row.batch,
            name: row.name,
            said: Said {
                question: row.question,
                change: row.change,
                expected: row.expected,
                decision: row.decision,
            },
            decided_at: row.decided_at,
            version: row.version,
        })
        .collect())
}

/// Puts a batch behind the others; false when it is in it already, or the series is full.
pub async fn put(
    conn: &mut PgConnection,
    series: SeriesId,
    batch: BatchId,
    said: &Said,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "insert into refining_steps (series_id, batch_id, place, question, change, expected)
         select $1, $2, coalesce(max(place), 0) + 1, $3, $4, $5 from refining_steps where series_id = $1
         having coalesce(max(place), 0) < 99
         on conflict (series_id, batch_id) do nothing",
        series.0,
        batch.0,
        said.question,
        said.change,
        said.expected
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}

/// Changes what is said of a batch, on top of the version that was seen. A decision keeps the moment it was first written.
pub async fn save_step(
    conn: &mut PgConnection,
    series: SeriesId,
    (batch, seen): (&PublicId, i32),
    said: &Said,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update refining_steps t set question = $4, change = $5, expected = $6, decision = $7,
             decided_at = case when $7 = '' then null else coalesce(t.decided_at, $8) end, version = t.version + 1
         from batches b where b.id = t.batch_id and t.series_id = $1 and b.public_id = $2 and t.version = $3",
        series.0,
        batch.as_str(),
        seen,
        said.question,
        said.change,
        said.expected,
        said.decision,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}

/// Holds a series until the transaction ends, so that one after the other puts its batches into order.
pub async fn lock(conn: &mut PgConnection, series: SeriesId) -> Result<(), sqlx::Error> {
    query!(
        "select id from refining_series where id = $1 for update",
        series.0
    )
    .fetch_optional(conn)
    .await?;
    Ok(())
}

/// Puts its batches, named by their public ids, into this order.
pub async fn put_order(
    conn: &mut PgConnection,
    series: SeriesId,
    order: &[String],
) -> Result<(), sqlx::Error> {
    query!(
        "update refining_steps t set place = o.place::integer
         from unnest($2::text[]) with ordinality as o(batch, place) join batches b on b.public_id = o.batch
         where t.series_id = $1 and t.batch_id = b.id",
        series.0,
        order
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Deletes a series with what is said of its batches; these stay.
pub async fn delete(conn: &mut PgConnection, series: SeriesId) -> Result<(), sqlx::Error> {
    lock(&mut *conn, series).await?;
    query!("delete from refining_steps where series_id = $1", series.0)
        .execute(&mut *conn)
        .await?;
    query!("delete from refining_series where id = $1", series.0)
        .execute(conn)
        .await?;
    Ok(())
}

/// Takes a batch out.
pub async fn take_out(
    conn: &mut PgConnection,
    series: SeriesId,
    batch: &PublicId,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "delete from refining_steps t using batches b
         where b.id = t.batch_id and t.series_id = $1 and b.public_id = $2",
        series.0,
        batch.as_str()
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}
