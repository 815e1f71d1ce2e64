//! What a feed tells of a recipe.

use chrono::{DateTime, Utc};

use crate::recipes::public_id::PublicId;

/// The most entries of a feed.
pub const MOST: i64 = 50;

/// One recipe with its newest revision.
#[derive(Clone, Debug, PartialEq)]
pub struct News {
    pub public_id: PublicId,
    pub title: String,
    /// Whose it is; none where the maker's name is not told.
    pub maker: Option<String>,
    pub created_at: DateTime<Utc>,
    pub updated_at: DateTime<Utc>,
    pub number: i32,
    pub note: String,
    pub og: Option<f64>,
    pub fg: Option<f64>,
    pub abv_percent: Option<f64>,
    pub volume_l: Option<f64>,
    pub honeys: Vec<String>,
    pub sweetness: Option<String>,
}
