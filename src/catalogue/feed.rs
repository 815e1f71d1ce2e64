//! Feeds for the yeast, by what they are, never by a product.

use super::{Certainty, read};
use serde::Deserialize;

/// One kind of yeast food.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feed {
    /// Stable, kebab-case, never used again for something else.
    pub key: String,
    pub name: String,
    /// What it is, in plain words.
    pub words: String,
    /// Nitrogen from ammonium, mg per gram of the feed.
    pub ammonium_yan_mg_per_g: f64,
    /// Nitrogen from amino acids, mg per gram of the feed.
    pub organic_yan_mg_per_g: f64,
    /// The most that a recipe allows, g/L; `None` leaves it to the planner.
    pub max_g_per_l: Option<f64>,
    /// The usual dose, g/L, low and high.
    pub usual_g_per_l: [f64; 2],
    /// A level teaspoon, for want of a fine scale; ± 20 %.
    pub grams_per_teaspoon: Option<f64>,
    pub caution: Option<String>,
    pub note: Option<String>,
    pub source: String,
    pub certainty: Certainty,
}

pub(super) fn all() -> Vec<Feed> {
    read("feeds", include_str!("data/feeds.json"))
}
