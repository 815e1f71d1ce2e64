//! Style families: the trade's word with plain words beside it.

use super::{Certainty, read};
use serde::Deserialize;

/// One family.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// Stable, kebab-case, never used again for something else.
    pub key: String,
    /// The word by which the engine and the recipe document call it.
    pub code: String,
    pub name: String,
    /// What it is, in plain words.
    pub words: String,
    pub source: String,
    pub certainty: Certainty,
}

pub(super) fn all() -> Vec<Family> {
    read("families", include_str!("data/families.json"))
}
