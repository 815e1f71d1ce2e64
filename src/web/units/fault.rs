//! What can be wrong with a typed quantity, in words that say what to write instead.

use std::fmt;

/// What a field asks for; it chooses the example in a message.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    Number,
    Mass,
    Volume,
    Temperature,
    Gravity,
    Percent,
    Dose,
    Amount,
    Price,
    /// Milligrams per litre.
    Ion,
    /// Alkalinity, milligrams per litre as CaCO3.
    Alkalinity,
}

impl What {
    fn noun(self) -> &'static str {
        match self {
            What::Number => "a number",
            What::Mass => "a mass",
            What::Volume => "a volume",
            What::Temperature => "a temperature",
            What::Gravity => "a gravity",
            What::Percent => "a percentage",
            What::Dose => "an amount per litre",
            What::Amount => "an amount",
            What::Price => "a price",
            What::Ion => "milligrams per litre",
            What::Alkalinity => "an alkalinity",
        }
    }

    fn example(self) -> &'static str {
        match self {
            What::Number => "12 or 1.5",
            What::Mass => "2.5 kg or 3 lb 4 oz",
            What::Volume => "20 L or 5 US gal",
            What::Temperature => "20 °C or 68 °F",
            What::Gravity => "1.058, 1058 or 14.3 °Bx",
            What::Percent => "12 or 12.5 %",
            What::Dose => "0.5 g/L or 2 g/US gal",
            What::Amount => "2.5 kg, 3 lb 4 oz, 4 L, 0.5 g/L or 1 part",
            What::Price => "8.50 per kg or 4 per lb",
            What::Ion => "40 or 40 mg/L",
            What::Alkalinity => "120, 120 mg/L or 7 °dH",
        }
    }

    fn units(self) -> &'static str {
        match self {
            What::Number => "no unit here",
            What::Mass => "kg, g, lb or oz",
            What::Volume => "L, ml, gal, qt, pt, fl oz, cup, tbsp or tsp",
            What::Temperature => "°C or °F",
            What::Gravity => "SG, points or °Bx",
            What::Percent => "%",
            What::Dose => "g/L, mg/L, g/gal or oz/gal",
            What::Amount => "kg, g, lb, oz, L, ml, gal, fl oz, g/L or part",
            What::Price => "per kg, per lb, or what a jar costs: 12 for 3 lb",
            What::Ion => "mg/L or ppm",
            What::Alkalinity => "mg/L, ppm, mmol/L, °dH or °fH",
        }
    }
}

/// Why a text was not taken for a quantity. `to_string` gives the sentence for the page.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// Nothing was typed where a value is needed.
    Empty(What),
    /// No number was found where one must begin.
    NoNumber(What),
    /// More text than any quantity needs.
    TooLong(What),
    /// A point and a comma, or one of them twice.
    TwoMarks,
    /// "1,500": fifteen hundred or one and a half.
    OneOrThousand { decimal: String, whole: String },
    /// "5 gal" from somebody who reads litres: the two that bear this name, and what it would be in each.
    WhichMeasure {
        unit: String,
        us: String,
        imperial: String,
    },
    /// Spaces between digits that do not set off thousands.
    LooseDigits,
    /// A fraction over nothing.
    OverZero,
    /// A unit that this field does not know.
    UnknownUnit { unit: String, what: What },
    /// A number without a unit after a number with one ("3 lb 4").
    UnitNeeded(What),
    /// Parts that do not go from large to small ("4 oz 3 lb"), or a minus inside.
    Order(What),
    /// A number where only a whole one makes sense.
    NotWhole,
    /// Outside what the field allows.
    OutOfRange {
        what: What,
        low: String,
        high: String,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::Empty(what) | Fault::NoNumber(what) | Fault::TooLong(what) => {
                write!(f, "Write {}, such as {}.", what.noun(), what.example())
            }
            Fault::TwoMarks => f.write_str(
                "Write one decimal mark, a point or a comma, and nothing between the thousands: 1234.5 or 1234,5.",
            ),
            Fault::OneOrThousand { decimal, whole } => {
                write!(f, "Write {decimal} or {whole}: with a comma and three digits it could be either.")
            }
            Fault::WhichMeasure { unit, us, imperial } => {
                write!(f, "Write US {unit} for {us}, or imp {unit} for {imperial}: two measures bear that name.")
            }
            Fault::LooseDigits => f.write_str("Write the number without spaces, such as 1500."),
            Fault::OverZero => f.write_str("Write a fraction over a number above zero, such as 1/2."),
            Fault::UnknownUnit { unit, what } => {
                write!(f, "“{unit}” is not known here. Write {}, such as {}.", what.units(), what.example())
            }
            Fault::UnitNeeded(what) => {
                write!(f, "Write a unit after every number, such as {}.", what.example())
            }
            Fault::Order(what) => {
                write!(f, "Write the larger unit first and each only once, such as {}.", what.example())
            }
            Fault::NotWhole => f.write_str("Write a whole number, such as 3."),
            Fault::OutOfRange { what, low, high } => write!(f, "Write {} from {low} to {high}.", what.noun()),
        }
    }
}

impl std::error::Error for Fault {}
