//! Rows of results: flights with what they decided, sheets, results as they were frozen.

use chrono::{DateTime, Utc};

use crate::competitions::flights::model::Kind;
use crate::competitions::model::{CategoryId, FlightId};
use crate::engine::contest::draw::sha256;
use crate::engine::contest::frozen::Inputs;
use crate::engine::contest::results::Answer;
use crate::engine::contest::sheet::{Agreed, Sheet};
use crate::web::viewer::MemberId;

/// A flight with what it decided.
#[derive(Debug, Clone, PartialEq)]
pub struct FlightRow {
    pub id: FlightId,
    pub public_id: String,
    pub number: i32,
    pub kind: Kind,
    pub category: Option<CategoryId>,
    /// What its table agreed on last; nothing while it has to agree anew.
    pub agreed: Agreed,
    /// The last order of each judge.
    pub orders: Vec<Vec<String>>,
}

/// A glass of a flight.
#[derive(Debug, Clone, PartialEq)]
pub struct Poured {
    pub flight: FlightId,
    pub code: String,
    pub category: CategoryId,
}

/// A sheet that counts.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRow {
    pub flight: FlightId,
    pub code: String,
    pub judge: MemberId,
    /// For organisers alone.
    pub judge_name: String,
    pub judge_public_id: String,
    pub sheet: Sheet,
}

/// Results as they were frozen.
#[derive(Debug, Clone, PartialEq)]
pub struct Frozen {
    pub number: i32,
    pub inputs: Inputs,
    pub answer: Answer,
    pub hash: Vec<u8>,
    pub at: DateTime<Utc>,
}

impl Frozen {
    /// The hash in hexadecimal digits.
    pub fn hash_text(&self) -> String {
        self.hash.iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// Whether a text is the one of which the hash was kept.
    pub fn is_hash_of(&self, text: &str) -> bool {
        sha256(text) == self.hash_text()
    }
}

/// Everything of a competition that results are made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Gathered {
    pub inputs: Inputs,
    pub flights: Vec<FlightRow>,
    pub sheets: Vec<SheetRow>,
    /// Judges by the number that they have in the inputs, from 1.
    pub judges: Vec<MemberId>,
}

/// Whose an entry is, once that may be told.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    pub member: MemberId,
    pub by: String,
    /// What its makers call it.
    pub name: String,
}

/// An entry as one of its makers sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mine {
    pub code: String,
    pub name: String,
    pub by: String,
    /// The public id of the batch that it came from, if it is the viewer's.
    pub batch: Option<String>,
}
