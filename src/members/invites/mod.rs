//! Invites: links by which new members come in.

pub mod forms;
pub mod store;

use chrono::{DateTime, Utc};

use crate::web::viewer::{MemberId, Role};

/// The most people whom one invite lets in.
pub const MAX_USES: i32 = 100;
/// The most characters of the keeper's own words about it.
pub const NOTE_MAX: usize = 80;
/// For how many days an invite can be good: a week at most, so that a forgotten one opens nothing.
pub const DAYS: &[i32] = &[1, 3, 7];

/// What an invite is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewInvite {
    /// What whoever comes in by it becomes.
    pub role: Role,
    /// For whom it is, in the keeper's own words.
    pub note: String,
    /// How many people it lets in: one, if it gives more than membership.
    pub uses: i32,
    /// For how many days it is good.
    pub days: i32,
}

/// An invite as a keeper sees it.
#[derive(Clone, Debug)]
pub struct Invite {
    /// Random id for addresses.
    pub public_id: String,
    /// What whoever comes in by it becomes.
    pub role: Role,
    /// For whom it is.
    pub note: String,
    /// How many came in by it.
    pub uses: i32,
    /// How many may.
    pub uses_allowed: i32,
    /// When it runs out.
    pub expires_at: DateTime<Utc>,
    /// Whether it was taken back.
    pub is_revoked: bool,
    /// Whether it has run out.
    pub is_over: bool,
    /// Whether somebody can still come in by it.
    pub is_good: bool,
    /// Who made it; nobody, if they left.
    pub made_by: Option<String>,
    /// Who came in by it.
    pub came: Vec<String>,
}

/// What a good link says to whoever opens it.
#[derive(Clone, Debug)]
pub struct Welcome {
    /// What they will be.
    pub role: Role,
    /// Who invites.
    pub made_by: String,
    /// Where the one who invites lives: the best guess for the one who comes.
    pub zone: String,
}

/// How coming in went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joined {
    /// They are a member.
    In(MemberId),
    /// Somebody has the name, or one that looks like it.
    NameTaken,
    /// The link is not good any more.
    NotGood,
}
