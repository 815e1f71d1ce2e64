//! The club's roll: who is a member, as what, and who was shut out. For keepers.

pub mod store;

use chrono::{DateTime, Utc};

use crate::web::viewer::{MemberId, Role};

/// One member as a keeper sees them.
#[derive(Clone, Debug, PartialEq)]
pub struct RollEntry {
    pub id: MemberId,
    pub public_id: String,
    pub name: String,
    pub role: Role,
    pub joined_at: DateTime<Utc>,
    /// When they last used a session that is still remembered.
    pub seen_at: Option<DateTime<Utc>>,
    pub shut_out_at: Option<DateTime<Utc>>,
    /// When they left of their own will; until their things go they can be let in again.
    pub left_at: Option<DateTime<Utc>>,
    pub has_second_step: bool,
}

/// Somebody who joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Joined {
    pub at: DateTime<Utc>,
    pub public_id: String,
    pub name: String,
}

/// What became of a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Changed {
    Done,
    /// Refused: the club would be left without a keeper who may come in.
    LastKeeper,
    /// There is no such member.
    NotFound,
}
