//! What a meeting is, who comes, and what is poured.

use chrono::{DateTime, Utc};

use crate::web::viewer::MemberId;

/// The longest title, in letters.
pub const TITLE_MAX: usize = 120;
/// The longest place, and the longest line of what is poured, in letters.
pub const LINE_MAX: usize = 200;
/// The longest text of what is on, in letters.
pub const ABOUT_MAX: usize = 4000;
/// The longest notes, in letters.
pub const NOTES_MAX: usize = 20_000;
/// How much is poured at one meeting.
pub const POURS_MAX: i64 = 60;

/// What its opener says of a meeting.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub title: String,
    pub starts_at: DateTime<Utc>,
    pub place: String,
    pub about: String,
    pub notes: String,
}

/// A meeting.
#[derive(Clone, Debug, PartialEq)]
pub struct Meeting {
    pub public_id: String,
    pub opener: MemberId,
    pub opener_name: String,
    pub said: Said,
    pub cancelled: bool,
    pub version: i32,
    pub created_at: DateTime<Utc>,
}

/// Whether somebody comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Coming {
    Yes,
    Perhaps,
    No,
}

impl Coming {
    /// All of them, as pages offer them.
    pub const ALL: [Coming; 3] = [Coming::Yes, Coming::Perhaps, Coming::No];

    /// The word in forms and in the database.
    pub fn word(self) -> &'static str {
        match self {
            Coming::Yes => "yes",
            Coming::Perhaps => "perhaps",
            Coming::No => "no",
        }
    }

    /// The answer of a word.
    pub fn of(word: &str) -> Option<Coming> {
        Coming::ALL.into_iter().find(|coming| coming.word() == word)
    }
}

/// One member's answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    pub member: MemberId,
    pub name: String,
    pub coming: Coming,
}

/// What somebody puts down.
#[derive(Clone, Debug, PartialEq)]
pub struct Brought {
    pub words: String,
    /// Recipe and revision.
    pub recipe: Option<(String, i32)>,
    pub abv_percent: Option<f64>,
    pub fg: Option<f64>,
    pub allergens: Vec<String>,
    pub beware: String,
}

/// Something on the tasting list.
#[derive(Clone, Debug, PartialEq)]
pub struct Pour {
    pub public_id: String,
    pub member: MemberId,
    pub member_name: String,
    /// Its recipe's number stays; its address only while the reader may see it.
    pub brought: Brought,
    pub place: Option<i32>,
}

/// Why a meeting was not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("there is no such meeting of theirs")]
    NotFound,
    #[error("it was saved meanwhile")]
    Conflict(Box<Meeting>),
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}
