//! What the desk does, each in one transaction that holds the competition, with its row in the chain of deeds.

use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use sqlx::PgConnection;

use super::masking::masked;
use super::store::{self, Masked};
use crate::competitions::deeds::{Deed, write};
use crate::competitions::entries::{Arrival, Entry};
use crate::competitions::model::CompetitionId;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// Whether a change was written, or somebody was faster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    Done,
    Meanwhile,
}

/// Who does it where and when.
#[derive(Clone, Copy)]
pub struct At {
    pub competition: CompetitionId,
    pub by: MemberId,
    pub now: DateTime<Utc>,
}

async fn note(
    conn: &mut PgConnection,
    at: At,
    (deed, about, reason): (&str, Value, &str),
) -> Result<(), sqlx::Error> {
    let deed = Deed {
        deed,
        about,
        reason,
    };
    write(conn, at.competition, Some(at.by), &deed, at.now).await
}

/// How bottles came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Came {
    pub arrival: Arrival,
    pub bottles: i32,
    /// Why late ones are taken in all the same.
    pub reason: String,
}

/// Notes how bottles came.
///
/// # Errors
/// When the database does not answer.
pub async fn receive(
    conn: &mut PgConnection,
    at: At,
    (entry, version): (&Entry, i32),
    came: &Came,
) -> Result<Written, Error> {
    if !store::receive(conn, entry.id, version, came.arrival, came.bottles).await? {
        return Ok(Written::Meanwhile);
    }
    let about = json!({ "code": entry.code,
        "before": { "bottles": entry.bottles_here, "came": entry.arrival.map(Arrival::word) },
        "after": { "bottles": came.bottles, "came": came.arrival.word() } });
    note(conn, at, ("received", about, &came.reason)).await?;
    Ok(Written::Done)
}

/// Notes that bottle and words were looked at, and masks these words.
///
/// # Errors
/// When the database does not answer.
pub async fn check(
    conn: &mut PgConnection,
    at: At,
    (entry, version): (&Entry, i32),
    words: &[String],
) -> Result<Written, Error> {
    let differs = |text: &str| Some(masked(text, words)).filter(|masked| masked != text);
    let left = Masked {
        note: differs(&entry.declared.note),
        special: differs(&entry.declared.special),
    };
    if !store::check(conn, entry.id, version, &left, at.now).await? {
        return Ok(Written::Meanwhile);
    }
    let about =
        json!({ "code": entry.code, "masked": left.note.is_some() || left.special.is_some() });
    note(conn, at, ("checked", about, "")).await?;
    Ok(Written::Done)
}

/// Notes whether the fee is paid.
///
/// # Errors
/// When the database does not answer.
pub async fn set_fee(
    conn: &mut PgConnection,
    at: At,
    entry: &Entry,
    is_paid: bool,
) -> Result<(), Error> {
    if entry.fee_paid_at.is_some() == is_paid {
        return Ok(());
    }
    store::set_fee(conn, entry.id, is_paid.then_some(at.now)).await?;
    let about = json!({ "code": entry.code, "paid": is_paid });
    Ok(note(conn, at, ("fee", about, "")).await?)
}

/// Takes an entry out that breaks a rule, with the reason.
///
/// # Errors
/// When the database does not answer.
pub async fn turn_away(
    conn: &mut PgConnection,
    at: At,
    entry: &Entry,
    reason: &str,
) -> Result<(), Error> {
    if store::turn_away(conn, entry.id, at.now).await? {
        let about = json!({ "code": entry.code });
        note(conn, at, ("turned_away", about, reason)).await?;
    }
    Ok(())
}
