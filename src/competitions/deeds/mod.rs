//! The chain of deeds: whatever changes a competition is written down in the same transaction, each row with a hash over itself
//! and the row before, so that a row that was changed later breaks every one behind it.

mod canonical;
pub(super) mod page;
pub mod store;
mod words;

pub use words::told;

use chrono::{DateTime, SubsecRound, Utc};
use serde_json::Value;
use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use super::model::CompetitionId;
use crate::web::viewer::MemberId;

/// What was done, before it has its place in the chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Deed<'a> {
    /// A word: `entered`, `phase`, `signed`.
    pub deed: &'a str,
    /// Ids and codes of what it was about, what stood before, what after; no names.
    pub about: Value,
    /// Why, where a reason is demanded.
    pub reason: &'a str,
}

/// A row of the chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    pub number: i32,
    pub at: DateTime<Utc>,
    pub by: Option<MemberId>,
    pub by_name: Option<String>,
    pub deed: String,
    pub about: Value,
    pub reason: String,
    pub hash: Vec<u8>,
}

/// SHA-256 over the hash before and the row's own parts, each with its length in front, so that no two rows read alike.
pub fn hash(before: &[u8], link: &Link) -> [u8; 32] {
    let by = link.by.map(|by| by.0.to_string()).unwrap_or_default();
    let about = canonical::text(&link.about);
    let at = link.at.timestamp_micros().to_string();
    let number = link.number.to_string();
    let mut hash = Sha256::new();
    for part in [
        before,
        number.as_bytes(),
        at.as_bytes(),
        by.as_bytes(),
        link.deed.as_bytes(),
        about.as_bytes(),
        link.reason.as_bytes(),
    ] {
        hash.update((part.len() as u64).to_le_bytes());
        hash.update(part);
    }
    hash.finalize().into()
}

/// The number of the first row that does not fit the chain; none where all do.
pub fn broken(links: &[Link]) -> Option<i32> {
    let mut before: Vec<u8> = Vec::new();
    for (link, number) in links.iter().zip(1..) {
        if link.number != number || link.hash != hash(&before, link) {
            return Some(number);
        }
        before.clone_from(&link.hash);
    }
    None
}

/// Writes a deed down. The caller holds the competition (`store::hold`), so that two deeds follow one another.
pub async fn write(
    conn: &mut PgConnection,
    competition: CompetitionId,
    by: Option<MemberId>,
    deed: &Deed<'_>,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    let last = store::last(conn, competition).await?;
    let (number, before) = last.unwrap_or_default();
    let mut link = Link {
        number: number + 1,
        at: now.trunc_subsecs(6),
        by,
        by_name: None,
        deed: deed.deed.to_owned(),
        about: deed.about.clone(),
        reason: deed.reason.to_owned(),
        hash: Vec::new(),
    };
    link.hash = hash(&before, &link).to_vec();
    store::append(conn, competition, &link).await
}
