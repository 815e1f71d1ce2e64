//! What results are reckoned from, frozen: entries under their codes, what tables agreed on, what judges gave, the public number.
//! Nothing here says whose an entry is.

use serde::{Deserialize, Serialize};

use super::rules::Tie;
use super::sheet::AgreedEntry;

/// For what glasses were poured together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// A category, or a part of it.
    First,
    /// The final of a category of several flights.
    Final,
    /// The best of the whole show.
    Best,
}

impl Kind {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Kind::First => "first",
            Kind::Final => "final",
            Kind::Best => "best",
        }
    }
}

/// A category as it was judged, after merging and splitting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Category {
    pub number: u32,
    pub name: String,
}

/// An entry that was there to be judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    pub code: String,
    /// The category's number.
    pub category: u32,
}

/// What one judge gave an entry on a signed sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// The judge's number at this competition.
    pub judge: u32,
    pub code: String,
    /// Points of the whole sheet.
    pub total: u32,
    /// Of these, the points of the section that decides between equals.
    pub section: u32,
}

/// Glasses that one table tasted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Flight {
    pub number: u32,
    pub kind: Kind,
    /// The category's number; none for the best of the show.
    pub category: Option<u32>,
    /// What was poured.
    pub codes: Vec<String>,
    /// What the table agreed on; empty: nothing yet.
    pub agreed: Vec<AgreedEntry>,
    /// In a final and for the best of the show: each judge's order, the best first.
    pub orders: Vec<Vec<String>>,
    pub marks: Vec<Mark>,
}

/// Everything that decides.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Inputs {
    pub ties: Vec<Tie>,
    pub categories: Vec<Category>,
    pub entries: Vec<Entry>,
    pub flights: Vec<Flight>,
    /// The public number of the draw, once it is known.
    pub drawn_number: Option<String>,
}

impl Inputs {
    /// The same in the one order in which it is reckoned and hashed, whatever order rows came in.
    pub fn in_order(&self) -> Inputs {
        let mut all = self.clone();
        all.categories.sort_by_key(|one| one.number);
        all.entries.sort_by(|one, other| one.code.cmp(&other.code));
        all.flights.sort_by_key(|one| one.number);
        for flight in &mut all.flights {
            flight.codes.sort();
            flight
                .agreed
                .sort_by(|one, other| one.code.cmp(&other.code));
            flight.orders.sort();
            flight
                .marks
                .sort_by(|one, other| (one.judge, &one.code).cmp(&(other.judge, &other.code)));
        }
        all
    }
}
