//! Style families and the words for strength, sweetness and bubbles: the trade's word with plain words beside it.

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
    /// What makes a mead one of them.
    pub makes: String,
    /// Whether the engine recognises it from what goes in; else the maker names it.
    pub recognised: bool,
    pub source: String,
    pub certainty: Certainty,
}

/// What a style word is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StyleSort {
    Strength,
    Sweetness,
    Bubbles,
}

/// A word for how strong, how sweet or how lively a mead is.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StyleWord {
    /// Stable, kebab-case, never used again for something else.
    pub key: String,
    /// The word by which the engine calls it.
    pub code: String,
    pub sort: StyleSort,
    pub name: String,
    /// How it drinks, in plain words.
    pub words: String,
    /// Alcohol, % by volume: what decides a strength.
    pub abv_percent: Option<[f64; 2]>,
    /// Gravity of the must that usually leads there.
    pub og: Option<[f64; 2]>,
    /// Gravity at the end: what decides a sweetness.
    pub fg: Option<[f64; 2]>,
    /// Pressure above the air's at 20 °C, bar: a help beside the word.
    pub pressure_bar: Option<[Option<f64>; 2]>,
    pub source: String,
    pub certainty: Certainty,
}

pub(super) fn all() -> Vec<Family> {
    read("families", include_str!("data/families.json"))
}

pub(super) fn style_words() -> Vec<StyleWord> {
    read("style words", include_str!("data/style_words.json"))
}
