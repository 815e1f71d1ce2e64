//! Flights: which glasses stand together at one table, in which order, and who tastes them.

use chrono::{DateTime, Utc};

use crate::competitions::model::{CategoryId, EntryId, FlightId};
use crate::engine::contest::declared::Declared;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// What a flight decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Kind {
    /// Who of a category goes on.
    First,
    /// The places of a category.
    Final,
    /// The best of the whole show.
    Best,
}

impl Kind {
    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Kind::First => "first",
            Kind::Final => "final",
            Kind::Best => "best",
        }
    }
}

/// How far a flight is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum State {
    Planned,
    Poured,
    /// Its table agreed.
    Done,
}

impl State {
    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            State::Planned => "planned",
            State::Poured => "poured",
            State::Done => "done",
        }
    }
}

/// A flight without its glasses.
#[derive(Debug, Clone, PartialEq)]
pub struct Flight {
    pub id: FlightId,
    pub public_id: PublicId,
    pub kind: Kind,
    /// The category and its name; none for the best of the show.
    pub category: Option<CategoryId>,
    pub category_name: Option<String>,
    pub number: i32,
    /// On which day it is tasted, and which of the day's rounds: flights of one round are tasted side by side.
    pub day: i32,
    pub session: i32,
    pub state: State,
    pub poured_at: Option<DateTime<Utc>>,
    pub done_at: Option<DateTime<Utc>>,
    pub version: i32,
}

impl Flight {
    /// What it is called: "Flight 3, Melomel", "Final, Melomel", "Best of show".
    pub fn called(&self) -> String {
        let of = self.category_name.as_deref().unwrap_or_default();
        match self.kind {
            Kind::First => format!("Flight {}, {of}", self.number),
            Kind::Final => format!("Final, {of}"),
            Kind::Best => "Best of show".to_owned(),
        }
    }
}

/// A glass of a flight, as judges and stewards may know it. Nothing here tells whose it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Glass {
    pub entry: EntryId,
    /// In addresses.
    pub public_id: PublicId,
    pub code: String,
    pub category: CategoryId,
    pub category_name: String,
    /// What is declared, with the words masked that a steward masked.
    pub declared: Declared,
    /// From 1, in the order of pouring.
    pub place: i32,
}

/// A judge at a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    pub judge: MemberId,
    pub name: String,
    pub experienced: bool,
    pub leads: bool,
}

/// A judge of the roster.
#[derive(Debug, Clone, PartialEq)]
pub struct Judge {
    pub judge: MemberId,
    /// In forms.
    pub public_id: String,
    pub name: String,
    pub experienced: bool,
    /// The most glasses a day that they want.
    pub ceiling: Option<i32>,
}

/// A flight that is to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct NewFlight {
    pub kind: Kind,
    pub category: Option<CategoryId>,
    pub number: i32,
    pub day: i32,
    pub session: i32,
    /// In the order of pouring.
    pub entries: Vec<EntryId>,
    /// Whoever leads comes first.
    pub judges: Vec<MemberId>,
}
