//! Entries as everybody may read them who judges, pours or receives: a code and what is declared. Nothing here says whose.

pub mod codes;
pub mod store;

use chrono::{DateTime, Utc};

use super::model::{CategoryId, EntryId};
use crate::engine::contest::declared::Declared;
use crate::recipes::public_id::PublicId;

/// How an entry's bottles came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Arrival {
    Here,
    Leaking,
    Late,
    Missing,
}

impl Arrival {
    /// All of them.
    pub const ALL: [Arrival; 4] = [
        Arrival::Here,
        Arrival::Leaking,
        Arrival::Late,
        Arrival::Missing,
    ];

    /// The word in the database and in forms.
    pub fn word(self) -> &'static str {
        match self {
            Arrival::Here => "here",
            Arrival::Leaking => "leaking",
            Arrival::Late => "late",
            Arrival::Missing => "missing",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Arrival> {
        Arrival::ALL
            .into_iter()
            .find(|arrival| arrival.word() == word)
    }

    /// How it reads.
    pub fn says(self) -> &'static str {
        match self {
            Arrival::Here => "here",
            Arrival::Leaking => "here, leaking",
            Arrival::Late => "came late",
            Arrival::Missing => "missing",
        }
    }

    /// Whether there is something to pour. Late ones are poured only where the organiser takes them in as here.
    pub fn can_be_poured(self) -> bool {
        matches!(self, Arrival::Here | Arrival::Leaking)
    }

    /// The words of those that are poured, as statements ask for them.
    pub fn poured() -> Vec<String> {
        let poured = Arrival::ALL.into_iter().filter(|one| one.can_be_poured());
        poured.map(|one| one.word().to_owned()).collect()
    }
}

/// An entry, without its makers.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub id: EntryId,
    pub public_id: PublicId,
    pub category: CategoryId,
    pub code: String,
    pub declared: Declared,
    /// Note and special ingredients as they are read where a steward masked words in them.
    pub masked_note: Option<String>,
    pub masked_special: Option<String>,
    pub withdrawn_at: Option<DateTime<Utc>>,
    pub fee_paid_at: Option<DateTime<Utc>>,
    pub arrival: Option<Arrival>,
    pub bottles_here: Option<i32>,
    /// Somebody looked whether bottle and words tell nothing.
    pub checked_at: Option<DateTime<Utc>>,
    pub version: i32,
}

impl Entry {
    /// What judges read besides the code: as declared, its words as a steward left them.
    pub fn told(&self) -> Declared {
        let mut told = self.declared.clone();
        if let Some(masked) = &self.masked_note {
            told.note.clone_from(masked);
        }
        if let Some(masked) = &self.masked_special {
            told.special.clone_from(masked);
        }
        told
    }

    /// Whether it can be poured: not withdrawn, and its bottles are here.
    pub fn can_be_poured(&self) -> bool {
        self.withdrawn_at.is_none() && self.arrival.is_some_and(Arrival::can_be_poured)
    }
}
