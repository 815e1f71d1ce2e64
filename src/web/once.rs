//! Once keys: a form that is sent twice does its work once.
//!
//! A page that writes something new puts `Once::fresh(&viewer)` into a hidden field `once`. Its handler reads it with
//! `Once::read`, and inside its transaction asks `claim`; after its work it says where the result is with `settle`,
//! and commits. A form that is refused for a fault rolls back and so leaves its key unused. The key begins with the
//! public id of the member for whom the page was made, so that another member on the same machine never sends it.

use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use super::error::Error;
use super::form::{FormState, Posted};
use super::metrics::counts;
use super::paths::Route;
use super::random;
use super::store;
use super::viewer::{Member, Viewer};

/// The name of the hidden field.
pub const FIELD: &str = "once";
/// Stands for the member in a form made for a stranger.
const NOBODY: &str = "-";

/// The key of one rendered form, with the hash of what was sent with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Once {
    key: String,
    body: [u8; 32],
}

/// What a key turned out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum Claim {
    /// Not used yet: do the work.
    Fresh,
    /// Used with this very form: its result is at this path below the base.
    Done(String),
}

impl Once {
    /// The value of the hidden field of a new form.
    pub fn fresh(viewer: &Viewer) -> Result<String, Error> {
        let whose = viewer
            .member()
            .map_or(NOBODY, |member| member.public_id.as_str());
        Ok(format!("{whose}.{}", random::text(26)?))
    }

    /// The value of the hidden field of a form: the one that it came with, so that a form that was refused stays the same
    /// form, else a new one.
    pub fn for_form(form: &FormState, viewer: &Viewer) -> Result<String, Error> {
        match form.typed(FIELD) {
            "" => Once::fresh(viewer),
            typed => Ok(typed.to_owned()),
        }
    }

    /// The key that a member's form came with. A missing key is refused, and so is a form that was made for
    /// somebody else.
    pub fn read(posted: &Posted, member: &Member) -> Result<Once, Error> {
        let key = posted.one(FIELD)?;
        if key.len() > 100 || !key.contains('.') {
            return Err(Error::bad_request(
                "This form is incomplete. Open its page again.",
            ));
        }
        if whose(posted) != Some(member.public_id.as_str()) {
            return Err(Error::anothers_form());
        }
        Ok(Once {
            key: key.to_owned(),
            body: digest(posted),
        })
    }
}

impl Once {
    /// The key that a program sent for a body: its own text of 10 to 100 visible characters.
    pub fn of_program(key: &str, body: &[u8]) -> Option<Once> {
        let shaped = (10..=100).contains(&key.len()) && key.bytes().all(|b| b.is_ascii_graphic());
        shaped.then(|| Once {
            key: key.to_owned(),
            body: Sha256::digest(body).into(),
        })
    }
}

/// The public id of the member for whom a posted form was made, if it says so.
pub fn whose(posted: &Posted) -> Option<&str> {
    let key = posted.all(FIELD).next()?;
    key.split_once('.')
        .map(|(whose, _)| whose)
        .filter(|whose| *whose != NOBODY)
}

/// Claims the key for `member` on `route` within the caller's transaction. The same form sent again waits for the
/// first and learns its result; the same key with other words is a conflict, never dropped.
pub async fn claim(
    conn: &mut PgConnection,
    once: &Once,
    member: &Member,
    route: Route,
) -> Result<Claim, Error> {
    if store::claim_once(conn, member.id, route.path, &once.key, &once.body).await? {
        return Ok(Claim::Fresh);
    }
    match store::read_once(conn, member.id, route.path, &once.key).await? {
        Some((body, location)) if body == once.body => {
            counts().repeated.inc();
            Ok(Claim::Done(location))
        }
        Some(_) => Err(Error::conflict(
            "This form was saved before with other words. What you typed is below: send it again to save it as well.",
        )),
        // The first sender has just given up: let this one try again.
        None => Err(Error::busy(1)),
    }
}

/// Notes where the result of a claimed key is.
pub async fn settle(
    conn: &mut PgConnection,
    once: &Once,
    member: &Member,
    route: Route,
    location: &str,
) -> Result<(), Error> {
    Ok(store::settle_once(conn, member.id, route.path, &once.key, location).await?)
}

/// Forgets keys older than a week.
pub async fn forget_old(conn: &mut PgConnection) -> Result<u64, sqlx::Error> {
    store::forget_once(conn).await
}

fn digest(posted: &Posted) -> [u8; 32] {
    let mut hash = Sha256::new();
    // A form that counts its own sendings is the same form when it is sent twice.
    let said = |name: &str| name != FIELD && name != "sequence";
    for (name, value) in posted.pairs().iter().filter(|(name, _)| said(name)) {
        for part in [name, value] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part.as_bytes());
        }
    }
    hash.finalize().into()
}
