//! What a batch is, and what its log is made of.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};
use serde_json::Value;

use crate::engine::log::own::Own;
use crate::engine::log::{Deed, Entry};
use crate::recipes::public_id::PublicId;
use crate::web::policy::{Facts, Visibility};
use crate::web::viewer::MemberId;

/// The longest name, in characters.
pub const NAME_MAX: usize = 120;

/// A batch's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct BatchId(pub i64);

/// How a batch ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// It is in bottles or kegs.
    Bottled,
    /// It went down the drain.
    PouredAway,
    /// All of it went on in other batches.
    Parted,
}

impl Ending {
    const ALL: [Ending; 3] = [Ending::Bottled, Ending::PouredAway, Ending::Parted];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Ending::Bottled => "bottled",
            Ending::PouredAway => "poured away",
            Ending::Parted => "parted",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Ending> {
        Ending::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// The recipe that a batch was made of, as far as its reader may see it.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeOf {
    pub recipe: PublicId,
    pub number: i32,
    pub title: String,
}

/// A batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    pub id: BatchId,
    pub public_id: PublicId,
    pub owner: MemberId,
    pub owner_name: String,
    pub name: String,
    pub visibility: Visibility,
    pub made_of: Option<MadeOf>,
    /// The batch that it was parted from, if its reader may see that: public id and name.
    pub parted_from: Option<(PublicId, String)>,
    /// Whether what went in was only supposed.
    pub supposed: bool,
    /// The recipe as it was weighed out.
    pub document: Value,
    /// What the engine made of that then.
    pub formulation: Value,
    /// The club's own figures that were taken in place of the book's.
    pub own: Own,
    pub vessel_name: String,
    pub began_at: DateTime<Utc>,
    pub ended_at: Option<DateTime<Utc>>,
    pub ending: Option<Ending>,
    pub version: i32,
    pub created_at: DateTime<Utc>,
    pub binned_at: Option<DateTime<Utc>>,
    pub expected: Expected,
}

/// When a batch is expected to have come so far, by its outlook: the earliest, the most likely and the latest instant.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Expected {
    /// A third of its sugar used.
    pub one_third_at: Option<Vec<DateTime<Utc>>>,
    /// Standing still.
    pub still_at: Option<Vec<DateTime<Utc>>>,
}

impl Batch {
    /// What decides who may do what with it.
    pub fn facts(&self) -> Facts {
        let visibility = match self.binned_at {
            Some(_) => Visibility::Private,
            None => self.visibility,
        };
        Facts::of(self.owner, visibility)
    }

    /// Hours of its log at an instant.
    pub fn hours_at(&self, at: DateTime<Utc>) -> f64 {
        (at - self.began_at).as_seconds_f64() / 3600.0
    }

    /// The instant of an hour of its log; `None` beyond what a calendar has.
    pub fn at_hours(&self, hours: f64) -> Option<DateTime<Utc>> {
        if !(-1e7..=1e7).contains(&hours) {
            return None;
        }
        let seconds = (hours * 3600.0).round() as i64;
        self.began_at
            .checked_add_signed(TimeDelta::try_seconds(seconds)?)
    }
}

impl Batch {
    /// An entry of its log as the engine reads it.
    pub fn entry(&self, logged: &Logged) -> Entry {
        Entry {
            entry: logged.entry.unsigned_abs(),
            hours: self.hours_at(logged.at),
            deed: logged.deed.clone(),
        }
    }
}

/// What came into the log, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CameFrom {
    Page,
    Phone,
    File,
    Sensor,
    Import,
}

impl CameFrom {
    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            CameFrom::Page => "page",
            CameFrom::Phone => "phone",
            CameFrom::File => "file",
            CameFrom::Sensor => "sensor",
            CameFrom::Import => "import",
        }
    }
}

/// An entry to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEntry {
    pub deed: Deed,
    pub at: DateTime<Utc>,
    pub by: MemberId,
    /// The fields as they were typed.
    pub typed: BTreeMap<String, String>,
    pub came_from: CameFrom,
    /// What its source calls it: the same again is the same entry.
    pub source_key: Option<String>,
}

impl NewEntry {
    /// An entry written on a page, by a member, of now or of then.
    pub fn of(deed: Deed, at: DateTime<Utc>, by: MemberId) -> NewEntry {
        NewEntry {
            deed,
            at,
            by,
            typed: BTreeMap::new(),
            came_from: CameFrom::Page,
            source_key: None,
        }
    }
}

/// An entry of a log, in the version that counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged {
    pub entry: i32,
    pub version: i32,
    pub deed: Deed,
    pub at: DateTime<Utc>,
    pub recorded_at: DateTime<Utc>,
    pub by_name: String,
    pub typed: BTreeMap<String, String>,
    pub struck: bool,
    pub came_from: String,
    /// What its sensor told besides in the same hour, where it stands for that.
    pub heard: Option<Heard>,
}

/// What a sensor told within an hour: of it the last reading is reckoned with, the rest stays in the log.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heard {
    pub readings: i32,
    /// The lowest and the highest.
    pub sg: Option<(f64, f64)>,
    pub must_temperature_c: Option<(f64, f64)>,
}

/// A batch to be started.
#[derive(Debug, Clone, PartialEq)]
pub struct NewBatch {
    pub public_id: PublicId,
    pub owner: MemberId,
    pub name: String,
    pub visibility: Visibility,
    /// The revision that it is made of: recipe and number.
    pub revision: Option<(PublicId, i32)>,
    pub parted_from: Option<BatchId>,
    pub supposed: bool,
    pub document: Value,
    pub formulation: Value,
    pub own: Own,
    pub vessel: Option<String>,
    pub vessel_name: String,
    pub began_at: DateTime<Utc>,
}

/// What lists show of a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchLine {
    pub public_id: PublicId,
    pub owner: MemberId,
    pub owner_name: String,
    pub name: String,
    pub visibility: Visibility,
    pub began_at: DateTime<Utc>,
    pub ended_at: Option<DateTime<Utc>>,
    pub ending: Option<Ending>,
    pub og: Option<f64>,
    pub sg: Option<f64>,
    pub abv_percent: Option<f64>,
    pub volume_l: Option<f64>,
    pub last_reading_at: Option<DateTime<Utc>>,
    pub course: Option<String>,
}

/// What is kept of a batch's log for lists and for the club's own figures.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Numbers {
    pub og: Option<f64>,
    pub sg: Option<f64>,
    pub abv_percent: Option<f64>,
    pub volume_l: Option<f64>,
    pub last_reading_at: Option<DateTime<Utc>>,
    pub pitched_at: Option<DateTime<Utc>>,
    /// Where it is in its course.
    pub course: String,
    pub yeast: Option<String>,
    pub book_fg: Option<f64>,
    pub real_fg: Option<f64>,
    pub end_days: Option<f64>,
    pub loss_fraction: Option<f64>,
    pub growth_factor: Option<f64>,
    pub uptake_factor: Option<f64>,
    pub entries: i32,
    pub expected: Expected,
}

/// Which batches a list has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shelf {
    /// The member's own that are going.
    Going,
    /// The member's own that ended.
    Done,
    /// Everybody's that the club sees.
    Club,
    /// The member's own in the bin.
    Bin,
}

impl Shelf {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Shelf; 4] = [Shelf::Going, Shelf::Done, Shelf::Club, Shelf::Bin];

    /// The word in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Shelf::Going => "going",
            Shelf::Done => "done",
            Shelf::Club => "club",
            Shelf::Bin => "bin",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Shelf> {
        Shelf::ALL.into_iter().find(|shelf| shelf.word() == word)
    }
}

/// Why something about a batch was not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("somebody changed it meanwhile")]
    Conflict,
    #[error("there is no such thing")]
    NotFound,
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}
