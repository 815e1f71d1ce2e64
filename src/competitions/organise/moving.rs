//! From phase to phase: forward when everything that the next one demands is done, and one back with a reason.

use chrono::{DateTime, NaiveDate, Utc};
use serde_json::json;
use sqlx::PgConnection;

use super::standing::missing;
use super::store;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entering::sealed;
use crate::competitions::model::{Competition, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::results;
use crate::web::error::Error;

/// Why it did not go on.
#[derive(Debug)]
pub enum Stays {
    /// This is still to be done.
    Missing(Vec<String>),
    Error(Error),
}

impl From<Error> for Stays {
    fn from(error: Error) -> Stays {
        Stays::Error(error)
    }
}

impl From<sqlx::Error> for Stays {
    fn from(error: sqlx::Error) -> Stays {
        Stays::Error(error.into())
    }
}

/// When something is done, and which day that is where the organiser lives.
#[derive(Clone, Copy, Debug)]
pub struct When {
    pub now: DateTime<Utc>,
    pub today: NaiveDate,
}

/// Takes the phase after the one that the viewer saw, within the caller's transaction.
pub async fn on(
    conn: &mut PgConnection,
    opened: &Opened,
    seen: Phase,
    when: When,
) -> Result<Phase, Stays> {
    let stands = opened.hold(conn, Act::MoveOn).await?;
    let next = match stands.next() {
        Some(next) if stands == seen => next,
        _ => return Err(moved(stands).into()),
    };
    let competition = &opened.competition;
    let standing = store::standing(conn, competition.id).await?;
    let mut missing = missing(next, &standing, &competition.rules, when.today);
    if next == Phase::Released {
        missing.extend(results::missing(conn, opened).await?);
    }
    if !missing.is_empty() {
        return Err(Stays::Missing(missing));
    }
    entering(conn, competition, next, when.now).await?;
    step(conn, opened, (stands, next), "", when.now).await?;
    Ok(next)
}

/// Goes back to the phase before, with a reason, within the caller's transaction.
pub async fn back(
    conn: &mut PgConnection,
    opened: &Opened,
    seen: Phase,
    reason: &str,
    now: DateTime<Utc>,
) -> Result<Phase, Error> {
    let stands = opened.hold(conn, Act::Reopen).await?;
    let before = match stands.before() {
        Some(before) if stands == seen => before,
        _ => return Err(moved(stands)),
    };
    step(conn, opened, (stands, before), reason, now).await?;
    Ok(before)
}

fn moved(stands: Phase) -> Error {
    Error::conflict(format!(
        "Somebody moved it meanwhile: it is {} now. Open its page again.",
        stands.says()
    ))
}

/// What happens by itself as a phase begins; each part of a competition adds its own here.
async fn entering(
    conn: &mut PgConnection,
    competition: &Competition,
    next: Phase,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    if next == Phase::Closed {
        sealed::seal_all(conn, competition.id, now).await?;
    }
    Ok(())
}

async fn step(
    conn: &mut PgConnection,
    opened: &Opened,
    (from, to): (Phase, Phase),
    reason: &str,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let id = opened.competition.id;
    store::set_phase(conn, id, to, now).await?;
    let deed = Deed {
        deed: "phase",
        about: json!({ "from": from.word(), "to": to.word() }),
        reason,
    };
    deeds::write(conn, id, Some(opened.viewer), &deed, now).await?;
    Ok(())
}
