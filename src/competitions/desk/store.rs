//! What the desk writes about an entry; no statement here knows of makers.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_scalar};

use crate::competitions::entries::Arrival;
use crate::competitions::model::EntryId;

/// Notes how bottles came, and how many are there; false when somebody changed the entry since.
pub async fn receive(
    conn: &mut PgConnection,
    entry: EntryId,
    version: i32,
    arrival: Arrival,
    bottles: i32,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update competition_entries set arrival = $3, bottles_here = $4, version = version + 1
         where id = $1 and version = $2 and withdrawn_at is null",
        entry.0,
        version,
        arrival.word(),
        bottles
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Words as judges read them, where they differ from what was declared.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Masked {
    pub note: Option<String>,
    pub special: Option<String>,
}

/// Notes that somebody looked at bottle and words; false when somebody changed the entry since.
pub async fn check(
    conn: &mut PgConnection,
    entry: EntryId,
    version: i32,
    masked: &Masked,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update competition_entries set masked_note = $3, masked_special = $4, checked_at = $5, version = version + 1
         where id = $1 and version = $2 and withdrawn_at is null",
        entry.0,
        version,
        masked.note,
        masked.special,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Notes when the fee was paid, or that it is not.
pub async fn set_fee(
    conn: &mut PgConnection,
    entry: EntryId,
    paid_at: Option<DateTime<Utc>>,
) -> Result<(), sqlx::Error> {
    query!(
        "update competition_entries set fee_paid_at = $2 where id = $1",
        entry.0,
        paid_at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes an entry out; false when it is out already.
pub async fn turn_away(
    conn: &mut PgConnection,
    entry: EntryId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update competition_entries set withdrawn_at = $2, version = version + 1 where id = $1 and withdrawn_at is null",
        entry.0,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Names of all members, against which words are held: of everybody, so that it tells of nobody.
pub async fn names(conn: &mut PgConnection) -> Result<Vec<String>, sqlx::Error> {
    query_scalar!("select name from members where gone_at is null order by name_key")
        .fetch_all(conn)
        .await
}
