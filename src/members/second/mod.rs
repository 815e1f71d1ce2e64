//! The second step of a sign-in: codes from an app, passkeys, recovery codes, and whom the club asks for one.

pub mod codes;
pub mod half;
pub mod overview;
pub mod pages;
pub mod passkeys;
pub mod paths;
pub mod picture;
pub mod recovery;
pub mod rule;
pub mod step;
pub mod store;

use chrono::{DateTime, Utc};

/// What a member has for the second step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Means {
    /// Since when codes come from an app.
    pub app_since: Option<DateTime<Utc>>,
    /// How many passkeys there are.
    pub passkeys: i64,
    /// How many recovery codes are unused.
    pub recovery_codes: i64,
}

impl Means {
    /// Whether a sign-in by password asks for more.
    pub fn is_any(&self) -> bool {
        self.app_since.is_some() || self.passkeys > 0
    }
}

/// That somebody's second step was taken away, and by whom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// When.
    pub at: DateTime<Utc>,
    /// Whether a keeper did it on the page of members; else it was the server's command line.
    pub by_keeper: bool,
    /// The keeper's name, unless they left.
    pub by: Option<String>,
}
