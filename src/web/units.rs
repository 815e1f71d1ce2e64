//! Units and numbers as people type and read them: the one place where text becomes a quantity and a quantity text.
//!
//! Inside, everything is kilograms, litres, degrees Celsius, specific gravity 20/20, g/L and price per kilogram.
//! What was typed is kept by the caller; nothing here rounds a value that is stored.

mod amount;
mod fault;
mod format;
mod number;
mod parse;
mod size;

use std::fmt;
use std::str::FromStr;

pub use amount::{Bare, TypedAmount, beside_amount, parse_amount, parse_price};
pub use fault::{Fault, What};
pub use format::{
    abv, amount_text, beside_dose, beside_gravity, beside_mass, beside_temperature, beside_volume,
    dose, fixed, grams, grams_per_litre, gravity, mass, mass_both, mass_in_steps, mass_text,
    percent, plain, pressure, price, price_per_mass, temperature, temperature_text, volume,
    volume_both, volume_text, water_in_steps,
};
pub use number::{parse_number, parse_number_within, parse_whole};
pub use parse::{
    parse_alkalinity, parse_dose, parse_gravity, parse_ion, parse_mass, parse_mass_in,
    parse_percent, parse_temperature, parse_volume,
};
pub use size::{GRAMS_PER_OUNCE, IMPERIAL_GALLON_L, KG_PER_POUND, MassUnit, US_GALLON_L};

/// The system in which a member reads amounts; the words are those of the database.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    Default,
    sqlx::Type,
    serde::Serialize,
    serde::Deserialize,
)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Kilograms, litres, Celsius.
    #[default]
    Metric,
    /// Pounds, US gallons, Fahrenheit.
    Us,
    /// Pounds, imperial gallons, Celsius.
    Imperial,
}

impl Units {
    /// Every system, in the order in which pages offer them.
    pub const ALL: [Units; 3] = [Units::Metric, Units::Us, Units::Imperial];

    /// The word kept in the database.
    pub fn word(self) -> &'static str {
        match self {
            Units::Metric => "metric",
            Units::Us => "us",
            Units::Imperial => "imperial",
        }
    }

    /// What a page calls the system.
    pub fn label(self) -> &'static str {
        match self {
            Units::Metric => "kilograms, litres, °C",
            Units::Us => "pounds, US gallons, °F",
            Units::Imperial => "pounds, imperial gallons, °C",
        }
    }

    /// The unit of a mass written without one: "kg" or "lb".
    pub fn mass_unit(self) -> &'static str {
        if self == Units::Metric { "kg" } else { "lb" }
    }

    /// The unit of a volume written without one: "L" or "gal".
    pub fn volume_unit(self) -> &'static str {
        if self == Units::Metric { "L" } else { "gal" }
    }

    /// The unit of a volume in full, for a label: "litres", "US gallons", "imperial gallons".
    pub fn volume_words(self) -> &'static str {
        match self {
            Units::Metric => "litres",
            Units::Us => "US gallons",
            Units::Imperial => "imperial gallons",
        }
    }

    /// The unit of a mass in full, for a label: "kilograms" or "pounds".
    pub fn mass_words(self) -> &'static str {
        if self == Units::Metric {
            "kilograms"
        } else {
            "pounds"
        }
    }

    /// The unit of a temperature written without one: "°C" or "°F".
    pub fn temperature_unit(self) -> &'static str {
        if self == Units::Us { "°F" } else { "°C" }
    }
}

impl fmt::Display for Units {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A word that names no unit system.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownUnits;

impl fmt::Display for UnknownUnits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Choose metric, us or imperial.")
    }
}

impl std::error::Error for UnknownUnits {}

impl FromStr for Units {
    type Err = UnknownUnits;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Units::ALL
            .into_iter()
            .find(|units| units.word() == text)
            .ok_or(UnknownUnits)
    }
}
