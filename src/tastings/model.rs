//! What a tasting is, what is poured at it, and who tastes.

use chrono::{DateTime, Utc};

use crate::engine::log::entry::Tasting as Said;
use crate::recipes::public_id::PublicId;
use crate::web::policy::{Facts, Visibility};
use crate::web::viewer::MemberId;

/// The longest title, in characters.
pub const TITLE_MAX: usize = 120;
/// The longest question, in characters.
pub const QUESTION_MAX: usize = 300;
/// The longest name of a guest, in characters.
pub const GUEST_MAX: usize = 60;
/// The most people who taste where nobody counts glasses.
pub const SEATS_MAX: i64 = 60;
/// The most sheets of a triangle or a ranking.
pub const SHEETS_MAX: i32 = 100;
/// The chance of luck at which a test is believed: common practice, no published source.
pub const ALPHA: f64 = 0.05;

/// A tasting's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct TastingId(pub i64);

/// A seat's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct SeatId(pub i64);

/// What is asked of those who taste.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// What each mead is like.
    Shared,
    /// Which of three glasses is not as the two others.
    Triangle,
    /// In which order the meads come.
    Ranking,
}

impl Kind {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Kind; 3] = [Kind::Shared, Kind::Triangle, Kind::Ranking];

    /// The word in addresses and in the database.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Shared => "shared",
            Kind::Triangle => "triangle",
            Kind::Ranking => "ranking",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// How many meads are poured, at least and at most.
    pub fn meads(self) -> (usize, usize) {
        match self {
            Kind::Shared => (1, 6),
            Kind::Triangle => (2, 2),
            Kind::Ranking => (3, 6),
        }
    }
}

/// A tasting, as its reader may see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tasting {
    pub id: TastingId,
    pub public_id: PublicId,
    pub host: MemberId,
    pub host_name: String,
    pub title: String,
    pub kind: Kind,
    pub coded: bool,
    pub on_paper: bool,
    pub visibility: Visibility,
    pub question: String,
    pub created_at: DateTime<Utc>,
    pub closed_at: Option<DateTime<Utc>>,
    /// Whether the reader has a seat.
    pub seated: bool,
    /// Whether the reader may read what was said.
    pub readable: bool,
}

impl Tasting {
    /// What decides who may do what with it: a seat is as good as its link.
    pub fn facts(&self) -> Facts {
        Facts {
            holds_link: self.seated,
            ..Facts::of(self.host, self.visibility)
        }
    }

    /// Whether it takes answers.
    pub fn is_open(&self) -> bool {
        self.closed_at.is_none()
    }

    /// Whether readers may know by now which mead is which.
    pub fn is_named(&self) -> bool {
        !self.coded || !self.is_open()
    }
}

/// What somebody opens a tasting with.
#[derive(Debug, Clone, PartialEq)]
pub struct NewTasting {
    pub title: String,
    pub kind: Kind,
    pub coded: bool,
    pub on_paper: bool,
    pub visibility: Visibility,
    pub question: String,
    pub pours: Vec<NewPour>,
    pub servings: Vec<Serving>,
}

/// A mead that is poured.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPour {
    pub batch: PublicId,
    pub name: String,
    pub code: Option<i32>,
    pub allergens: Vec<String>,
}

/// A mead that was poured.
#[derive(Debug, Clone, PartialEq)]
pub struct Pour {
    pub place: i32,
    /// Its batch, if the reader may see that.
    pub batch: Option<PublicId>,
    pub name: String,
    pub code: Option<i32>,
    pub allergens: Vec<String>,
}

impl Pour {
    /// Its name, or before the end of a coded tasting its code.
    pub fn called(&self, tasting: &Tasting) -> String {
        match (tasting.is_named(), self.code) {
            (false, Some(code)) => code.to_string(),
            (true, Some(code)) if tasting.coded => format!("{} ({code})", self.name),
            _ => self.name.clone(),
        }
    }
}

/// The glasses of one taster: the code of each and the place of its mead, in the order of tasting.
#[derive(Debug, Clone, PartialEq)]
pub struct Serving {
    pub number: i32,
    pub glasses: Vec<(i32, i32)>,
}

impl Serving {
    /// The code of the glass that is not as the two others.
    pub fn odd(&self) -> Option<i32> {
        let alone = |mead: i32| {
            self.glasses
                .iter()
                .filter(|(_, other)| *other == mead)
                .count()
                == 1
        };
        let odd = self.glasses.iter().find(|(_, mead)| alone(*mead));
        odd.filter(|_| self.glasses.len() == 3)
            .map(|(code, _)| *code)
    }
}

/// What somebody says of their glasses as a whole.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pick {
    /// The code of the odd glass of a triangle.
    Odd(i32),
    /// Of each glass its code and its place, 1 the first; places may be shared.
    Places(Vec<(i32, u32)>),
}

/// Somebody who tastes, with their own glasses and what they picked.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    pub id: SeatId,
    pub serving: Option<Serving>,
    pub pick: Option<Pick>,
    /// What they said of the mead at each place.
    pub said: Vec<(i32, Said)>,
}

/// What somebody said, once everybody may read it.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// A member, a guest, or "sheet 4".
    pub by: String,
    pub serving: Option<Serving>,
    pub pick: Option<Pick>,
    /// What was said of the mead at each place.
    pub said: Vec<(i32, Said)>,
    /// When each of those was said.
    pub said_at: Vec<DateTime<Utc>>,
}

/// How taking a seat went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seated {
    /// Theirs, also when it was theirs before.
    At(SeatId),
    /// Every glass is somebody's.
    Full,
    /// It is over.
    Closed,
}
