//! Which batches have a plan that may want something, and what calendars were told of it.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_scalar};

use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// The member's batches that are going, and those that were bottled since, the newest first: bottles are tasted on.
pub async fn with_a_plan(
    conn: &mut PgConnection,
    owner: MemberId,
    bottled_since: DateTime<Utc>,
    limit: i64,
) -> Result<Vec<PublicId>, sqlx::Error> {
    query_scalar!(
        r#"select public_id as "public_id: PublicId" from batches
           where owner_id = $1 and binned_at is null
               and (ended_at is null or (how_it_ended = 'bottled' and ended_at > $2))
           order by began_at desc, public_id desc limit $3"#,
        owner.0,
        bottled_since,
        limit
    )
    .fetch_all(conn)
    .await
}

/// What calendars were last told of a step.
pub struct Told {
    /// The digest of it.
    pub told: Vec<u8>,
    /// How often that has changed.
    pub sequence: i32,
    /// Since when it is told so.
    pub changed_at: DateTime<Utc>,
}

/// What calendars were told of the steps of a batch, by their keys.
pub async fn told(
    conn: &mut PgConnection,
    batch: BatchId,
) -> Result<HashMap<String, Told>, sqlx::Error> {
    let rows = query!(
        "select step, told, sequence, changed_at from batch_calendar where batch_id = $1",
        batch.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| {
            let told = Told {
                told: row.told,
                sequence: row.sequence,
                changed_at: row.changed_at,
            };
            (row.step, told)
        })
        .collect())
}

/// Notes what calendars are told from now on; the number of a step rises with every change, whoever asks at the same time.
pub async fn tell(
    conn: &mut PgConnection,
    batch: BatchId,
    steps: &[&(String, Vec<u8>)],
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    let (keys, digests): (Vec<String>, Vec<Vec<u8>>) =
        steps.iter().map(|step| (*step).clone()).unzip();
    query!(
        "insert into batch_calendar (batch_id, step, told, changed_at)
         select $1, s.step, s.told, $4 from unnest($2::text[], $3::bytea[]) as s(step, told) order by s.step
         on conflict (batch_id, step) do update
             set told = excluded.told, sequence = batch_calendar.sequence + 1, changed_at = excluded.changed_at
             where batch_calendar.told <> excluded.told",
        batch.0,
        &keys,
        &digests,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}
