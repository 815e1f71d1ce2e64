//! What stands in a cupboard, and what was done with it.

use chrono::{DateTime, NaiveDate, Utc};

use super::amount::{Amount, Price};

/// The longest name, in letters.
pub const NAME_MAX: usize = 120;
/// The longest note on a thing, in letters.
pub const NOTE_MAX: usize = 1000;
/// The longest note on what was done, in letters.
pub const DEED_NOTE_MAX: usize = 200;
/// How many things one cupboard holds, those used up included.
pub const ITEMS_MAX: i64 = 2000;

/// What its owner says of a thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Its entry in the catalogue.
    pub key: Option<String>,
    pub name: String,
    /// What is left of it.
    pub left: Amount,
    pub price: Option<Price>,
    pub bought_on: Option<NaiveDate>,
    pub opened_on: Option<NaiveDate>,
    pub best_before: Option<NaiveDate>,
    pub note: String,
}

/// A thing in the cupboard.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    pub public_id: String,
    pub said: Said,
    pub version: i32,
    pub created_at: DateTime<Utc>,
}

/// What was done with a thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    PutIn,
    Used,
    Corrected,
    ThrownAway,
}

impl Deed {
    /// The word in the database, and on the page.
    pub fn word(self) -> &'static str {
        match self {
            Deed::PutIn => "put in",
            Deed::Used => "used",
            Deed::Corrected => "corrected",
            Deed::ThrownAway => "thrown away",
        }
    }

    /// The deed of a word.
    pub fn of(word: &str) -> Deed {
        match word {
            "put in" => Deed::PutIn,
            "used" => Deed::Used,
            "thrown away" => Deed::ThrownAway,
            _ => Deed::Corrected,
        }
    }
}

/// One line of what was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    pub deed: Deed,
    pub amount: f64,
    pub remaining: f64,
    pub note: String,
    pub at: DateTime<Utc>,
}

/// What came of using some.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Used {
    /// So much is left.
    Left(f64),
    /// There is only so much: nothing was done.
    TooLittle(f64),
    NotFound,
}

/// Why a thing was not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("there is no such thing")]
    NotFound,
    #[error("it was saved meanwhile")]
    Conflict(Box<Item>),
    #[error("the cupboard is full")]
    Full,
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}
