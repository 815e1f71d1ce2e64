//! Yeast classes: never a product, only what a kind of yeast usually does.

use super::{Certainty, read};
use serde::Deserialize;

/// How much nitrogen a yeast wants per gram of sugar; the words are those of the recipe document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum NitrogenNeed {
    Low,
    Medium,
    High,
}

impl NitrogenNeed {
    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            NitrogenNeed::Low => "low",
            NitrogenNeed::Medium => "medium",
            NitrogenNeed::High => "high",
        }
    }
}

/// One yeast class.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Yeast {
    /// Stable, kebab-case, never used again for something else.
    pub key: String,
    pub name: String,
    /// What it is good for, in plain words.
    pub words: String,
    /// The class in the reference table that it comes from, if it is there.
    #[serde(default)]
    pub row: Option<String>,
    pub species: String,
    /// wine, ale or other.
    pub group: String,
    /// ABV at which a well-fed ferment usually stops, low and high.
    #[serde(rename = "tolerance_abv_percent")]
    pub tolerance_range: [f64; 2],
    /// Where it works well, °C.
    pub temperature_c: [f64; 2],
    pub nitrogen_need: NitrogenNeed,
    pub attenuation: String,
    pub character: String,
    /// The water that dry yeast is woken in, °C.
    pub rehydrate_c: [f64; 2],
    pub caution: Option<String>,
    pub source: String,
    pub certainty: Certainty,
}

impl Yeast {
    /// The tolerance that a new recipe takes: the middle of the range, % ABV.
    pub fn tolerance_abv_percent(&self) -> f64 {
        f64::midpoint(self.tolerance_range[0], self.tolerance_range[1])
    }
}

pub(super) fn all() -> Vec<Yeast> {
    read("yeasts", include_str!("data/yeasts.json"))
}
