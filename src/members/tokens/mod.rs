//! Tokens: by them a member's programs and feed readers come in, without the password and without a session.

pub mod forms;
pub mod pages;
pub mod store;

use chrono::{DateTime, Utc};

use super::sessions::Standing;
use crate::web::grant::Grant;
use crate::web::viewer::Member;

/// The most living tokens of one member.
pub const MOST: i64 = 20;
/// What every token for programs begins with, so that whoever finds one in a file knows what it is.
pub const PREFIX: &str = "mustwright_";

/// A token to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct NewToken {
    /// The member's own word for it.
    pub name: String,
    pub opens: Grant,
    pub expires_at: DateTime<Utc>,
}

/// A token as its member sees it. Its text is shown once, when it is made.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    pub public_id: String,
    pub name: String,
    pub opens: Grant,
    pub created_at: DateTime<Utc>,
    pub expires_at: DateTime<Utc>,
    pub last_used_at: Option<DateTime<Utc>>,
    /// Whether it opens anything now.
    pub is_good: bool,
}

/// What came of using a token.
pub struct Use {
    pub member: Member,
    pub standing: Standing,
    pub opens: Grant,
    /// The seconds to wait, if it was used too often.
    pub wait: Option<u32>,
}
