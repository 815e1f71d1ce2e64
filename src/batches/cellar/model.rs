//! What lies in a cellar: bottles of one size that were filled at once, and what became of them.

use chrono::{DateTime, NaiveDate, Utc};

use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// The longest name of a place, in characters.
pub const PLACE_MAX: usize = 80;
/// The longest word on whom a bottle was for, in characters.
pub const WHOM_MAX: usize = 120;
/// Bottles of a batch that are kept to be tasted side by side.
pub const SIDE_BY_SIDE: i32 = 2;

/// What is drawn from a keg counts in units of this, ml.
pub const DRAWN_ML: i32 = 10;

/// Why a bottle is taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TakenFor {
    /// It is drunk.
    Drunk,
    /// It is given away.
    Given,
    /// It is entered in a competition.
    Entered,
    /// It broke, or was poured away.
    Broken,
}

impl TakenFor {
    /// Every reason, in the order in which they are offered.
    pub const ALL: [TakenFor; 4] = [
        TakenFor::Drunk,
        TakenFor::Given,
        TakenFor::Entered,
        TakenFor::Broken,
    ];

    /// The word in the database and in forms.
    pub fn word(self) -> &'static str {
        match self {
            TakenFor::Drunk => "drunk",
            TakenFor::Given => "given",
            TakenFor::Entered => "entered",
            TakenFor::Broken => "broken",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<TakenFor> {
        TakenFor::ALL.into_iter().find(|one| one.word() == word)
    }

    /// In words: "3 bottles, given away".
    pub fn words(self) -> &'static str {
        match self {
            TakenFor::Drunk => "drunk",
            TakenFor::Given => "given away",
            TakenFor::Entered => "entered in a competition",
            TakenFor::Broken => "broken or poured away",
        }
    }
}

/// Bottles of one size that one entry of a log filled, or what it filled into a keg: then each “bottle” is [`DRAWN_ML`] of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    pub id: i64,
    pub public_id: String,
    pub code: String,
    pub batch: PublicId,
    pub batch_name: String,
    pub owner: MemberId,
    pub size_ml: i32,
    pub filled: i32,
    pub taken: i64,
    pub gas: bool,
    pub keg: bool,
    pub filled_at: DateTime<Utc>,
    pub good_on: Option<NaiveDate>,
    pub best_on: Option<NaiveDate>,
    pub keeps_until: Option<NaiveDate>,
    pub place: String,
    pub kept_back: i32,
    pub kept_until: Option<NaiveDate>,
}

impl Lot {
    /// Bottles that are still there.
    pub fn left(&self) -> i64 {
        (i64::from(self.filled) - self.taken).max(0)
    }

    /// Of these, those kept back; never more than there are.
    pub fn kept(&self) -> i64 {
        i64::from(self.kept_back).min(self.left())
    }

    /// Whether the bottles kept back may be opened by now.
    pub fn is_kept_time(&self, today: NaiveDate) -> bool {
        self.kept() > 0 && self.kept_until.is_some_and(|until| until <= today)
    }

    /// Litres of one bottle; of all that went into a keg.
    pub fn size_l(&self) -> f64 {
        match self.keg {
            true => self.litres(self.filled.into()),
            false => f64::from(self.size_ml) / 1000.0,
        }
    }

    /// Litres of so many of it.
    pub fn litres(&self, count: i64) -> f64 {
        count as f64 * f64::from(self.size_ml) / 1000.0
    }
}

/// Bottles, or a keg, that a log says were filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    pub entry: i32,
    pub size_ml: i32,
    pub count: i32,
    pub gas: bool,
    pub keg: bool,
    pub at: DateTime<Utc>,
}

/// When such a mead is usually good.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Days {
    pub good_on: Option<NaiveDate>,
    pub best_on: Option<NaiveDate>,
    pub keeps_until: Option<NaiveDate>,
}

/// Bottles that were taken out.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    pub public_id: String,
    pub bottles: i32,
    pub why: String,
    pub whom: String,
    pub by_name: String,
    pub at: DateTime<Utc>,
    pub put_back_at: Option<DateTime<Utc>>,
}

/// Bottles to be taken out.
#[derive(Clone, Debug, PartialEq)]
pub struct Taking {
    pub bottles: i32,
    pub why: TakenFor,
    pub whom: String,
    pub at: DateTime<Utc>,
}
