//! What a competition is, where it stands, and whose duty is what.

use chrono::{DateTime, Utc};

use crate::engine::contest::rules::Rules;
use crate::recipes::public_id::PublicId;

/// A competition's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct CompetitionId(pub i64);

/// An entry's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(transparent)]
pub struct EntryId(pub i64);

/// A category's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(transparent)]
pub struct CategoryId(pub i64);

/// A flight's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(transparent)]
pub struct FlightId(pub i64);

/// Where a competition stands: it goes on in this order, and back only with a reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Phase {
    /// Only its organisers see it.
    Draft,
    /// Members enter.
    Open,
    /// Nobody enters any more; entries are frozen, bottles come in.
    Closed,
    /// All bottles are here or missing; flights are made.
    Received,
    Judging,
    /// The organiser looks through sheets and results.
    Review,
    /// Everybody reads their own.
    Released,
    /// Read only.
    Archived,
}

impl Phase {
    /// All of them, in their order.
    pub const ALL: [Phase; 8] = [
        Phase::Draft,
        Phase::Open,
        Phase::Closed,
        Phase::Received,
        Phase::Judging,
        Phase::Review,
        Phase::Released,
        Phase::Archived,
    ];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Phase::Draft => "draft",
            Phase::Open => "open",
            Phase::Closed => "closed",
            Phase::Received => "received",
            Phase::Judging => "judging",
            Phase::Review => "review",
            Phase::Released => "released",
            Phase::Archived => "archived",
        }
    }

    /// What comes next.
    pub fn next(self) -> Option<Phase> {
        let at = Phase::ALL.iter().position(|phase| *phase == self)?;
        Phase::ALL.get(at + 1).copied()
    }

    /// What came before.
    pub fn before(self) -> Option<Phase> {
        let at = Phase::ALL.iter().position(|phase| *phase == self)?;
        Phase::ALL.get(at.checked_sub(1)?).copied()
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Phase> {
        Phase::ALL.into_iter().find(|phase| phase.word() == word)
    }

    /// Whether whose an entry is must not be known by those who judge and pour.
    pub fn is_blind(self) -> bool {
        self < Phase::Released
    }

    /// How it reads.
    pub fn says(self) -> &'static str {
        match self {
            Phase::Draft => "being prepared",
            Phase::Open => "open for entries",
            Phase::Closed => "closed for entries",
            Phase::Received => "bottles received",
            Phase::Judging => "being judged",
            Phase::Review => "being looked through",
            Phase::Released => "results are out",
            Phase::Archived => "kept for reading",
        }
    }
}

/// What somebody has to do at a competition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Duty {
    Organiser,
    Steward,
    Judge,
}

impl Duty {
    /// All of them.
    pub const ALL: [Duty; 3] = [Duty::Organiser, Duty::Steward, Duty::Judge];

    /// The word in the database and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Duty::Organiser => "organiser",
            Duty::Steward => "steward",
            Duty::Judge => "judge",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Duty> {
        Duty::ALL.into_iter().find(|duty| duty.word() == word)
    }
}

/// A competition, without entries.
#[derive(Debug, Clone, PartialEq)]
pub struct Competition {
    pub id: CompetitionId,
    pub public_id: PublicId,
    pub title: String,
    pub phase: Phase,
    pub rehearsal: bool,
    pub rules: Rules,
    pub terms: String,
    pub prizes: String,
    pub created_at: DateTime<Utc>,
    pub released_at: Option<DateTime<Utc>>,
    pub version: i32,
}

/// A category.
#[derive(Debug, Clone, PartialEq)]
pub struct Category {
    pub id: CategoryId,
    pub place: i32,
    pub name: String,
    pub about: String,
    /// Engine codes of what proposes itself for it.
    pub family: Option<String>,
    pub strength: Option<String>,
    pub merged_into: Option<CategoryId>,
    pub part_of: Option<CategoryId>,
}
