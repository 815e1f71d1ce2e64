//! What a jar is, and what was done with it.

use chrono::{DateTime, Utc};

use crate::web::viewer::{Member, MemberId, Role};

/// The longest name, bee-keeper and place, in letters.
pub const LINE_MAX: usize = 120;
/// The longest words for smell or taste, in letters.
pub const WORDS_MAX: usize = 500;
/// The longest note on a jar, in letters.
pub const NOTE_MAX: usize = 1000;
/// The longest note on what was done, in letters.
pub const DEED_NOTE_MAX: usize = 200;
/// The most that one jar holds, kg.
pub const MOST_KG: f64 = 10_000.0;

/// What is said of a jar.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub name: String,
    /// Its kind of honey in the catalogue.
    pub varietal: Option<String>,
    pub of_club: bool,
    pub shared: bool,
    pub bee_keeper: String,
    pub harvest_year: Option<i32>,
    pub place: String,
    /// Water by the refractometer, as a fraction.
    pub water: Option<f64>,
    pub colour: Option<String>,
    pub smell: String,
    pub taste: String,
    pub note: String,
    /// Of a kilogram, in the smallest coin.
    pub price_per_kg: Option<i64>,
}

/// A jar.
#[derive(Clone, Debug, PartialEq)]
pub struct Jar {
    pub public_id: String,
    pub owner: MemberId,
    pub owner_name: String,
    pub said: Said,
    pub left_kg: f64,
    pub put_away: bool,
    pub version: i32,
    pub created_at: DateTime<Utc>,
}

impl Jar {
    /// Whether it is on the shelf with something in it.
    pub fn is_offered(&self) -> bool {
        !self.put_away && self.left_kg > 0.0
    }

    /// Whether somebody may take from it.
    pub fn may_take(&self, member: MemberId) -> bool {
        !self.put_away && (self.owner == member || self.said.of_club || self.said.shared)
    }

    /// Whether somebody may take it off the shelf: who looks after it, and a keeper.
    pub fn may_put_away(&self, member: &Member) -> bool {
        self.owner == member.id || member.role == Role::Keeper
    }

    /// What somebody owes for so much of it; nothing for what is one's own or given.
    pub fn owed(&self, member: MemberId, kg: f64) -> Option<i64> {
        let own = self.owner == member && !self.said.of_club;
        let price = self.said.price_per_kg.filter(|_| !own)?;
        Some((price as f64 * kg).round() as i64)
    }
}

/// What was done with a jar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    Put,
    Changed,
    Taken,
    Weighed,
    PutAway,
    PutBack,
}

impl Deed {
    const ALL: [Deed; 6] = [
        Deed::Put,
        Deed::Changed,
        Deed::Taken,
        Deed::Weighed,
        Deed::PutAway,
        Deed::PutBack,
    ];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Deed::Put => "put",
            Deed::Changed => "changed",
            Deed::Taken => "taken",
            Deed::Weighed => "weighed",
            Deed::PutAway => "put away",
            Deed::PutBack => "put back",
        }
    }

    /// The deed of a word.
    pub fn of(word: &str) -> Deed {
        let mut all = Deed::ALL.into_iter();
        all.find(|deed| deed.word() == word)
            .unwrap_or(Deed::Changed)
    }
}

/// One line of what was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    pub deed: Deed,
    pub member: MemberId,
    pub member_name: String,
    pub kg: f64,
    pub left_kg: f64,
    pub owed: Option<i64>,
    pub note: String,
    pub at: DateTime<Utc>,
}

/// What came of taking some.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Taken {
    Done,
    /// There is only so much: nothing was taken.
    TooLittle(f64),
    NotForYou,
}

/// Why a jar was not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("there is no such jar of theirs")]
    NotFound,
    #[error("it was saved meanwhile")]
    Conflict(Box<Jar>),
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}
