//! What becomes of a step goes into the log: the mark, and before it what was done. Taken back, all of it counts no more.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use crate::batches::model::{Ending, Logged, NewEntry, SaveError};
use crate::batches::opened::{Opened, open_own};
use crate::batches::store;
use crate::engine::log::Deed;
use crate::engine::log::entry::PlanStep;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::Member;

/// Where a mark keeps how many entries before it belong to it.
const WITH: &str = "with";

/// A batch of the member's own, held until the transaction ends.
///
/// # Errors
/// When it is not theirs.
pub async fn held(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let public_id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let found = store::find(conn, Some(member.id), &public_id).await?;
    let batch = found.ok_or_else(Error::not_found)?;
    let held = store::hold(conn, member.id, batch.id).await?;
    held.ok_or_else(Error::not_found)?;
    open_own(conn, member, id).await
}

/// Writes a mark, after the entries that belong to it.
///
/// # Errors
/// When the database fails.
pub async fn mark(
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    step: PlanStep,
    entries: Vec<NewEntry>,
    (at, now): (DateTime<Utc>, DateTime<Utc>),
) -> Result<(), Error> {
    let batch = opened.batch.id;
    for entry in &entries {
        store::add(conn, batch, entry, now).await?;
    }
    let mut mark = NewEntry::of(Deed::Step(step), at, member.id);
    mark.typed
        .insert(WITH.to_owned(), entries.len().to_string());
    store::add(conn, batch, &mark, now).await?;
    Ok(())
}

/// The last thing that was said of a step and counts.
pub fn last_mark<'a>(opened: &'a Opened, key: &str) -> Option<&'a Logged> {
    let is_of = |logged: &&Logged| matches!(&logged.deed, Deed::Step(step) if step.step == key);
    let log = opened.log.iter().filter(|logged| !logged.struck);
    log.filter(is_of).max_by_key(|logged| logged.entry)
}

/// Takes back the last thing that was said of a step, with the entries that belong to it. False when nothing was.
///
/// # Errors
/// When the database fails.
pub async fn take_back(
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    key: &str,
    now: DateTime<Utc>,
) -> Result<bool, Error> {
    let Some(mark) = last_mark(opened, key) else {
        return Ok(false);
    };
    let with = mark.typed.get(WITH).and_then(|text| text.parse().ok());
    let first = mark.entry - with.unwrap_or(0);
    let theirs = opened
        .log
        .iter()
        .filter(|logged| (first..=mark.entry).contains(&logged.entry) && !logged.struck);
    for logged in theirs {
        strike(conn, (member, opened), logged, now).await?;
        let packaged = matches!(logged.deed, Deed::Package(_));
        if packaged && opened.batch.ending == Some(Ending::Bottled) {
            store::end(conn, opened.batch.id, None).await?;
        }
    }
    Ok(true)
}

async fn strike(
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    logged: &Logged,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut struck = NewEntry::of(logged.deed.clone(), logged.at, member.id);
    struck.typed.clone_from(&logged.typed);
    let seen = (logged.entry, logged.version);
    match store::correct(conn, opened.batch.id, seen, &struck, true, now).await {
        Ok(()) => Ok(()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(SaveError::Conflict | SaveError::NotFound) => Err(Error::conflict(
            "Somebody changed this entry meanwhile. Look at the log and send it again.",
        )),
    }
}
