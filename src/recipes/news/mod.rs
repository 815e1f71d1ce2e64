//! What is new among the club's recipes.

pub mod store;

use chrono::{DateTime, Utc};

use super::public_id::PublicId;

/// A recipe that others shared, or revised while it was shared: what happened to it last.
#[derive(Clone, Debug, PartialEq)]
pub struct RecipeNews {
    pub at: DateTime<Utc>,
    pub public_id: PublicId,
    pub title: String,
    pub owner_name: String,
    pub version: i32,
    /// Whether it was shared then, or else revised.
    pub shared: bool,
    /// The note of its newest revision.
    pub note: String,
}
