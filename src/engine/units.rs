//! Unit newtypes for the edge of the engine, and the factors between units.

use serde::{Deserialize, Serialize};

/// Litres in a US liquid gallon (exact: 231 cubic inches).
pub const US_GALLON_L: f64 = 3.785411784;
/// Litres in a US liquid quart (exact).
pub const US_QUART_L: f64 = US_GALLON_L / 4.0;
/// Litres in a US liquid pint (exact).
pub const US_PINT_L: f64 = US_GALLON_L / 8.0;
/// Litres in a US fluid ounce (exact).
pub const US_FLUID_OUNCE_L: f64 = US_GALLON_L / 128.0;
/// Litres in an imperial gallon (exact).
pub const IMPERIAL_GALLON_L: f64 = 4.54609;
/// Litres in an imperial pint (exact).
pub const IMPERIAL_PINT_L: f64 = IMPERIAL_GALLON_L / 8.0;
/// Litres in an imperial fluid ounce (exact).
pub const IMPERIAL_FLUID_OUNCE_L: f64 = IMPERIAL_GALLON_L / 160.0;
/// Kilograms in an avoirdupois pound (exact).
pub const POUND_KG: f64 = 0.45359237;
/// Kilograms in an avoirdupois ounce (exact).
pub const OUNCE_KG: f64 = POUND_KG / 16.0;
/// Kilopascals in a pound-force per square inch (exact to the digits given).
pub const PSI_KPA: f64 = 6.894757293168;
/// 60 °F in °C, the reference temperature of the older tables.
pub const SIXTY_FAHRENHEIT_C: f64 = 140.0 / 9.0;

/// °C of a temperature in °F. Finite for every finite input within ±1e300; others become the nearest of these (NaN: the lowest).
pub fn celsius_of_fahrenheit(fahrenheit: f64) -> f64 {
    (super::numeric::between(fahrenheit, -1e300, 1e300) - 32.0) / 1.8
}

/// °F of a temperature in °C. Finite for every finite input within ±1e300; others become the nearest of these (NaN: the lowest).
pub fn fahrenheit_of_celsius(celsius: f64) -> f64 {
    super::numeric::between(celsius, -1e300, 1e300) * 1.8 + 32.0
}

macro_rules! unit {
    ($(#[$doc:meta])* $name:ident, $low:expr, $high:expr, $what:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(try_from = "f64", into = "f64")]
        pub struct $name(f64);

        impl $name {
            /// The smallest value taken.
            pub const LEAST: f64 = $low;
            /// The largest value taken.
            pub const MOST: f64 = $high;

            /// The value with its unit; `None` when it is not a number or outside `LEAST..=MOST`.
            pub fn new(value: f64) -> Option<Self> {
                (Self::LEAST..=Self::MOST).contains(&value).then_some(Self(value))
            }

            /// The bare number.
            pub fn get(self) -> f64 {
                self.0
            }
        }

        impl TryFrom<f64> for $name {
            type Error = OutOfRange;

            fn try_from(value: f64) -> Result<Self, OutOfRange> {
                Self::new(value).ok_or(OutOfRange { what: $what, least: $low, most: $high })
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> f64 {
                value.0
            }
        }
    };
}

/// A number outside the range of its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRange {
    /// The unit's name, as in `litres`.
    pub what: &'static str,
    /// The smallest value taken.
    pub least: f64,
    /// The largest value taken.
    pub most: f64,
}

impl std::fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} must be between {} and {}",
            self.what, self.least, self.most
        )
    }
}

impl std::error::Error for OutOfRange {}

unit!(
    /// A volume at 20 °C in litres, 0 to a million. In JSON a bare number; a number out of range is refused.
    Litres, 0.0, 1e6, "litres"
);
unit!(
    /// A mass in kilograms, 0 to a million. In JSON a bare number; a number out of range is refused.
    Kilograms, 0.0, 1e6, "kilograms"
);
unit!(
    /// A true specific gravity 20/20 (density over that of water, both at 20 °C, in vacuum), 0.75 to 1.6: from ethanol to solid sugar.
    SpecificGravity, 0.75, 1.6, "specific gravity"
);
unit!(
    /// Alcohol by volume in percent: litres of ethanol per 100 L of liquid, both at 20 °C, 0 to 100.
    Abv, 0.0, 100.0, "alcohol by volume"
);
unit!(
    /// A temperature in °C, −273.15 to 1000; each function states the narrower range it is good for.
    Celsius, -273.15, 1000.0, "temperature"
);
unit!(
    /// A concentration in grams per litre at 20 °C, 0 to 2000.
    GramsPerLitre, 0.0, 2000.0, "grams per litre"
);
