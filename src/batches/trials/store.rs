//! Split trials, each of its maker alone.

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::{PgConnection, query};

use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A trial of a batch's parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    pub question: String,
    pub taste_on: NaiveDate,
    pub version: i32,
    /// The tasting that was opened of it.
    pub tasting: Option<String>,
}

/// A part of a batch, with its code once there is a trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    pub id: BatchId,
    pub public_id: PublicId,
    pub name: String,
    pub code: Option<i32>,
    pub is_gone: bool,
}

/// A trial whose day comes.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    pub batch: PublicId,
    pub name: String,
    pub question: String,
    pub taste_on: NaiveDate,
    pub changed_at: DateTime<Utc>,
    pub version: i32,
}

/// The trial of a batch.
pub async fn find(conn: &mut PgConnection, batch: BatchId) -> Result<Option<Trial>, sqlx::Error> {
    let row = query!(
        "select question, taste_on, version, tasting from split_trials where batch_id = $1",
        batch.0
    );
    Ok(row.fetch_optional(conn).await?.map(|row| Trial {
        question: row.question,
        taste_on: row.taste_on,
        version: row.version,
        tasting: row.tasting,
    }))
}

/// The parts of a member's batch with their codes, the oldest first; what was blended of it is none.
pub async fn parts(
    conn: &mut PgConnection,
    owner: MemberId,
    batch: BatchId,
) -> Result<Vec<Part>, sqlx::Error> {
    let rows = query!(
        r#"select p.id as "id: BatchId", p.public_id as "public_id: PublicId", p.name, c.code as "code?",
               (p.how_it_ended is not null and p.how_it_ended <> 'bottled') as "is_gone!"
           from batches p left join split_trial_codes c on c.part_id = p.id and c.batch_id = $1
           where p.parted_from_id = $1 and p.owner_id = $2 and p.binned_at is null
               and not exists (select from batch_parents b where b.batch_id = p.id)
           order by p.id limit 20"#,
        batch.0,
        owner.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Part {
            id: row.id,
            public_id: row.public_id,
            name: row.name,
            code: row.code,
            is_gone: row.is_gone,
        })
        .collect())
}

/// Sets a trial, or changes its question and day.
pub async fn set(
    conn: &mut PgConnection,
    batch: BatchId,
    (question, taste_on): (&str, NaiveDate),
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into split_trials (batch_id, question, taste_on, made_at, changed_at) values ($1, $2, $3, $4, $4)
         on conflict (batch_id) do update set question = $2, taste_on = $3, changed_at = $4,
             version = split_trials.version + 1",
        batch.0,
        question,
        taste_on,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Gives a part its code, unless it has one.
pub async fn give_code(
    conn: &mut PgConnection,
    batch: BatchId,
    part: BatchId,
    code: i32,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into split_trial_codes (batch_id, part_id, code) values ($1, $2, $3) on conflict (batch_id, part_id) do nothing",
        batch.0,
        part.0,
        code
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Calls a trial off; the parts and their logs stay. False when there is none.
pub async fn call_off(conn: &mut PgConnection, batch: BatchId) -> Result<bool, sqlx::Error> {
    let done = query!("delete from split_trials where batch_id = $1", batch.0);
    Ok(done.execute(conn).await?.rows_affected() > 0)
}

/// Notes which tasting was opened of it; false when one was before.
pub async fn opened(
    conn: &mut PgConnection,
    batch: BatchId,
    tasting: &str,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update split_trials set tasting = $2 where batch_id = $1 and tasting is null",
        batch.0,
        tasting
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}

/// A member's trials of which no tasting was opened, the next first.
pub async fn ahead(conn: &mut PgConnection, owner: MemberId) -> Result<Vec<Ahead>, sqlx::Error> {
    let rows = query!(
        r#"select b.public_id as "batch: PublicId", b.name, t.question, t.taste_on, t.changed_at, t.version
           from split_trials t join batches b on b.id = t.batch_id
           where b.owner_id = $1 and b.binned_at is null and t.tasting is null
           order by t.taste_on, b.id limit 50"#,
        owner.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Ahead {
            batch: row.batch,
            name: row.name,
            question: row.question,
            taste_on: row.taste_on,
            changed_at: row.changed_at,
            version: row.version,
        })
        .collect())
}
