//! The two sizes of a starter recipe.

use crate::web::units::{IMPERIAL_GALLON_L, US_GALLON_L, Units};

/// How much of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// A demijohn's worth: about a gallon.
    #[default]
    Small,
    /// A bucket's worth: about five gallons.
    Large,
}

impl Size {
    /// Both, the small one first.
    pub const ALL: [Size; 2] = [Size::Small, Size::Large];

    /// The word in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Size::Small => "small",
            Size::Large => "large",
        }
    }

    /// Reads the word back; anything else is small.
    pub fn from_word(word: &str) -> Size {
        match word {
            "large" => Size::Large,
            _ => Size::Small,
        }
    }

    /// As somebody who reads these units would type it.
    pub fn typed(self, units: Units) -> &'static str {
        match (self, units) {
            (Size::Small, Units::Metric) => "4.5 L",
            (Size::Large, Units::Metric) => "20 L",
            (Size::Small, _) => "1 gal",
            (Size::Large, Units::Us) => "5 gal",
            (Size::Large, Units::Imperial) => "4.5 gal",
        }
    }

    /// Litres of must.
    pub fn litres(self, units: Units) -> f64 {
        let [small, large] = match units {
            Units::Metric => [4.5, 20.0],
            Units::Us => [US_GALLON_L, 5.0 * US_GALLON_L],
            Units::Imperial => [IMPERIAL_GALLON_L, 4.5 * IMPERIAL_GALLON_L],
        };
        match self {
            Size::Small => small,
            Size::Large => large,
        }
    }
}
