//! What a refining series is.

use chrono::{DateTime, Utc};

use crate::recipes::public_id::PublicId;

/// The longest name, aim, decision, and anything else of a step, in characters.
pub const NAME_MAX: usize = 120;
pub const AIM_MAX: usize = 1000;
pub const DECISION_MAX: usize = 1000;
pub const STEP_MAX: usize = 500;

/// A series' key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, sqlx::Type)]
#[sqlx(transparent)]
pub struct SeriesId(pub i64);

/// A series.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    pub id: SeriesId,
    pub public_id: PublicId,
    pub name: String,
    pub aim: String,
    pub version: i32,
    /// How many batches it has.
    pub batches: i64,
}

/// What is said of a batch in it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Said {
    pub question: String,
    /// The one thing that is done otherwise.
    pub change: String,
    pub expected: String,
    /// After tasting.
    pub decision: String,
}

/// A batch in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    pub batch: PublicId,
    /// Its name, as long as the reader may see it.
    pub name: Option<String>,
    pub said: Said,
    pub decided_at: Option<DateTime<Utc>>,
    pub version: i32,
}
