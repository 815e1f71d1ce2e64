//! What the club and its members lend: whose it is, who has it and until when, and who had it before.

pub mod forms;
mod offering;
pub mod pages;
pub mod store;
mod words;

use chrono::{DateTime, NaiveDate, Utc};

use crate::web::policy::{Action, Facts, Visibility, may};
use crate::web::viewer::{MemberId, Viewer};

/// A thing as whoever lends it describes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Described {
    pub name: String,
    /// Where it stands.
    pub place: String,
    pub condition: String,
}

/// A thing to lend.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    pub public_id: String,
    /// Whose it is, with the name; nobody's is the club's.
    pub owner: Option<(MemberId, String)>,
    pub version: i32,
    /// Lent no more.
    pub withdrawn: bool,
    pub is: Described,
    /// Who has it or asked for it, where anybody does.
    pub loan: Option<Loan>,
}

/// How a loan ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    GivenBack,
    Refused,
    /// Whoever asked needs it no more.
    TakenBack,
}

impl Ending {
    /// All of them.
    pub const ALL: [Ending; 3] = [Ending::GivenBack, Ending::Refused, Ending::TakenBack];

    /// The word as stored.
    pub fn word(self) -> &'static str {
        match self {
            Ending::GivenBack => "given back",
            Ending::Refused => "refused",
            Ending::TakenBack => "taken back",
        }
    }

    /// Reads the stored word.
    pub fn from_word(word: &str) -> Option<Ending> {
        Ending::ALL.into_iter().find(|ending| ending.word() == word)
    }
}

/// Somebody's asking for a thing, and what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Loan {
    pub public_id: String,
    pub member: MemberId,
    pub member_name: String,
    pub asked_at: DateTime<Utc>,
    pub until: NaiveDate,
    pub remark: String,
    /// Since when they have it.
    pub lent_at: Option<DateTime<Utc>>,
    pub ended: Option<(DateTime<Utc>, Ending)>,
    /// In what condition it came back.
    pub came_back: String,
}

impl Thing {
    fn facts(&self) -> Facts {
        Facts {
            owner: self.owner.as_ref().map(|(id, _)| *id),
            visibility: Visibility::Club,
            holds_link: false,
        }
    }

    /// Whether this viewer lends it: its owner does, and a keeper lends everything.
    pub fn is_lent_by(&self, viewer: &Viewer) -> bool {
        may(viewer, Action::Change, &self.facts()) || may(viewer, Action::KeepClub, &self.facts())
    }
}
