//! Entries as they are taken, changed and taken back: within the caller's transaction, in which the competition is held, so that
//! of many at once exactly as many come in as the rules allow. The chain of deeds tells nobody's name, and its page no code
//! beside a time before the release: who knows when somebody entered or changed a mead would know its code.

use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use sqlx::PgConnection;

use super::model::{Mine, Refused, Said, another};
use super::store;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entries::codes;
use crate::competitions::model::{Competition, CompetitionId};
use crate::competitions::phases::{Act, allows, demand, may_withdraw};
use crate::competitions::store::hold;
use crate::engine::contest::declared::Declared;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// What an entry got when it was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entered {
    pub public_id: PublicId,
    pub code: String,
}

/// Takes an entry, if the competition is open and nobody's limit is reached; within the caller's transaction, in which the
/// competition is held. Whose it is stands with its makers alone.
///
/// # Errors
/// When the database or the system's randomness does not answer.
pub async fn enter(
    conn: &mut PgConnection,
    competition: &Competition,
    lead: MemberId,
    said: &Said,
    now: DateTime<Utc>,
) -> Result<Result<Entered, Refused>, Error> {
    let phase = hold(conn, competition.id).await?;
    if !allows(phase, Act::Enter) {
        return Ok(Err(Refused::Phase(phase)));
    }
    if !store::has_category(conn, competition.id, said.category).await? {
        return Ok(Err(Refused::Category));
    }
    let counted = store::count(conn, competition.id, lead).await?;
    if let Some(refused) = another(&competition.rules, counted) {
        return Ok(Err(refused));
    }
    let code = codes::draw(&store::codes(conn, competition.id).await?)?;
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let entry = store::make(conn, competition.id, &code, &public_id, said).await?;
    store::set_makers(conn, entry, lead, said, now).await?;
    write(
        conn,
        competition.id,
        "entered",
        json!({ "category": said.category.0 }),
        now,
    )
    .await?;
    Ok(Ok(Entered { public_id, code }))
}

/// Writes what its maker says now, if entries are open and nobody changed it since. The caller's transaction holds the
/// competition from here on.
///
/// # Errors
/// When the database does not answer.
pub async fn change(
    conn: &mut PgConnection,
    competition: &Competition,
    lead: MemberId,
    (mine, version): (&Mine, i32),
    said: &Said,
    now: DateTime<Utc>,
) -> Result<Result<(), Refused>, Error> {
    let phase = hold(conn, competition.id).await?;
    if !allows(phase, Act::ChangeEntry) {
        return Ok(Err(Refused::Phase(phase)));
    }
    if !store::has_category(conn, competition.id, said.category).await? {
        return Ok(Err(Refused::Category));
    }
    if !store::change(conn, mine.entry.id, version, said).await? {
        return Ok(Err(Refused::Changed));
    }
    store::set_makers(conn, mine.entry.id, lead, said, now).await?;
    write(conn, competition.id, "changed", json!({ "code": mine.entry.code,
        "before": { "category": mine.entry.category.0, "declared": without_words(&mine.entry.declared) },
        "after": { "category": said.category.0, "declared": without_words(&said.declared) } }), now).await?;
    Ok(Ok(()))
}

/// Takes an entry back, if its maker still may. The caller's transaction holds the competition from here on.
///
/// # Errors
/// When the database does not answer.
pub async fn withdraw(
    conn: &mut PgConnection,
    competition: &Competition,
    mine: &Mine,
    now: DateTime<Utc>,
) -> Result<Result<(), Refused>, Error> {
    let phase = hold(conn, competition.id).await?;
    if !may_withdraw(phase, &competition.rules) {
        return Ok(Err(Refused::Phase(phase)));
    }
    if !store::withdraw(conn, mine.entry.id, now).await? {
        return Ok(Err(Refused::Withdrawn));
    }
    write(
        conn,
        competition.id,
        "withdrawn",
        json!({ "code": mine.entry.code }),
        now,
    )
    .await?;
    Ok(Ok(()))
}

/// Takes a member off those who made an entry; whoever entered it withdraws it instead.
///
/// # Errors
/// When entries are frozen, or the member entered it.
pub async fn leave(
    conn: &mut PgConnection,
    competition: &Competition,
    mine: &Mine,
    member: MemberId,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    demand(hold(conn, competition.id).await?, Act::ChangeEntry)?;
    if !store::leave(conn, mine.entry.id, member).await? {
        return Err(Error::conflict(
            "You entered this mead yourself. Withdraw it instead.",
        ));
    }
    write(
        conn,
        competition.id,
        "left",
        json!({ "code": mine.entry.code }),
        now,
    )
    .await
}

/// What is declared, without a maker's own words: those might tell whose it is.
fn without_words(declared: &Declared) -> Declared {
    Declared {
        special: String::new(),
        note: String::new(),
        allergens: Vec::new(),
        ..declared.clone()
    }
}

/// Writes a deed of a maker down, without its doer: that would tell whose the entry is.
async fn write(
    conn: &mut PgConnection,
    competition: CompetitionId,
    deed: &str,
    about: Value,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let deed = Deed {
        deed,
        about,
        reason: "",
    };
    Ok(deeds::write(conn, competition, None, &deed, now).await?)
}
