//! What is said of an entry before anybody tastes it: all that judges know of it besides its code.

use serde::{Deserialize, Serialize};

/// How sweet an entry is declared.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Sweetness {
    #[default]
    Dry,
    SemiSweet,
    Sweet,
}

impl Sweetness {
    /// What a gravity at the end is called, SG 20/20: dry below 1.010, sweet from 1.025 on (the bands of `engine::style`).
    pub fn of_gravity(sg: f64) -> Sweetness {
        match sg {
            sg if sg < 1.010 => Sweetness::Dry,
            sg if sg < 1.025 => Sweetness::SemiSweet,
            _ => Sweetness::Sweet,
        }
    }
}

/// How much gas it is declared to hold.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Sparkle {
    #[default]
    Still,
    Lightly,
    Sparkling,
}

impl Sparkle {
    /// What so much carbon dioxide is called, volumes: still below 1.5, sparkling from 2.8 on (common practice, no published
    /// source).
    pub fn of_volumes(volumes_co2: f64) -> Sparkle {
        match volumes_co2 {
            volumes if volumes < 1.5 => Sparkle::Still,
            volumes if volumes < 2.8 => Sparkle::Lightly,
            _ => Sparkle::Sparkling,
        }
    }
}

/// What is in it besides honey, by what it does to the tongue: in this order glasses are poured.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Character {
    #[default]
    Plain,
    Fruit,
    Spice,
    Pepper,
}

/// Strength, ABV in per cent: from here on an entry counts as strong.
pub const STRONG_FROM: f64 = 14.0;

/// What is declared of an entry, frozen when entries close.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Declared {
    /// ABV, per cent; 0 to 25.
    pub abv_percent: f64,
    pub sweetness: Sweetness,
    pub sparkle: Sparkle,
    pub character: Character,
    /// Special ingredients that judges should know of: honey, fruit, spice, wood.
    pub special: String,
    /// Codes of `engine::allergens`, and what the maker adds.
    pub allergens: Vec<String>,
    /// Whatever else judges may read.
    pub note: String,
}

impl Declared {
    /// Whether it counts among the strong ones of a flight.
    pub fn is_strong(&self) -> bool {
        self.abv_percent >= STRONG_FROM
    }
}
