//! What the workbench's number fields hold: how each is read, and how a number is written back without losing a bit.

use crate::engine::density::sg_of_fraction;
use crate::engine::recipe::{Amount, Kind};
use crate::web::units::{
    self, Bare, Fault, IMPERIAL_GALLON_L, KG_PER_POUND, TypedAmount, US_GALLON_L, Units, plain,
};

/// The sort of number a field asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// Litres.
    Volume,
    /// Kilograms.
    Mass,
    /// Degrees Celsius.
    Temperature,
    /// Price of a kilogram.
    Price,
    /// Grams per litre.
    Dose,
    /// Specific gravity.
    Gravity,
    /// A percentage within these bounds, written with its sign.
    Strength(f64, f64),
    /// A percentage within these bounds; the sign stands behind the box.
    Percent(f64, f64),
    /// A fraction, typed as a percentage up to this one.
    Fraction(f64),
    /// Days.
    Days,
    /// A bare number within these bounds.
    Number(f64, f64),
}

/// Whether two numbers are one, but for the last bits that a percentage costs.
pub fn same(one: f64, other: f64) -> bool {
    one == other || (one - other).abs() <= 1e-12 * other.abs()
}

impl Quantity {
    /// The strength to aim for.
    pub const STRENGTH: Quantity = Quantity::Strength(0.5, 25.0);

    /// Reads a typed text.
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(self, text: &str, units: Units) -> Result<f64, Fault> {
        match self {
            Quantity::Volume => units::parse_volume(text, units),
            Quantity::Mass => units::parse_mass(text, units),
            Quantity::Temperature => units::parse_temperature(text, units),
            Quantity::Price => units::parse_price(text, units),
            Quantity::Dose => units::parse_dose(text, units),
            Quantity::Gravity => units::parse_gravity(text, sg_of_fraction),
            Quantity::Strength(low, high) | Quantity::Percent(low, high) => {
                units::parse_percent(text, low, high)
            }
            Quantity::Fraction(high) => {
                units::parse_percent(text, 0.0, high).map(|percent| percent / 100.0)
            }
            Quantity::Days => {
                let text = text.trim();
                let bare = ["days", "day", "d"]
                    .iter()
                    .find_map(|word| text.strip_suffix(word))
                    .unwrap_or(text);
                units::parse_number_within(bare.trim(), 0.0, 3650.0)
            }
            Quantity::Number(low, high) => units::parse_number_within(text, low, high),
        }
    }

    /// The shortest text that reads as this number again, in the reader's units if that is not much longer.
    pub fn write(self, value: f64, units: Units) -> String {
        let texts = self
            .ways(units)
            .into_iter()
            .filter_map(|way| Some((way.write(self, value, units)?, way.foreign)));
        texts
            .min_by_key(|(text, foreign)| text.chars().count() + if *foreign { 3 } else { 0 })
            .map_or_else(|| plain(value, 6), |(text, _)| text)
    }

    fn ways(self, units: Units) -> Vec<Way> {
        let metric = units == Units::Metric;
        match self {
            Quantity::Volume => vec![
                Way::times(1.0, " L", !metric),
                Way::times(0.001, " ml", !metric),
                Way::times(US_GALLON_L, " gal", false).only(units == Units::Us),
                Way::times(US_GALLON_L, " US gal", true).only(units != Units::Us),
                Way::times(IMPERIAL_GALLON_L, " gal", false).only(units == Units::Imperial),
                Way::times(IMPERIAL_GALLON_L, " imp gal", true).only(units != Units::Imperial),
            ],
            Quantity::Mass => vec![
                Way::times(1.0, " kg", !metric),
                Way::times(0.001, " g", false),
                Way::times(KG_PER_POUND, " lb", metric),
                Way::times(KG_PER_POUND / 16.0, " oz", metric),
            ],
            Quantity::Temperature => vec![
                Way::times(1.0, " °C", units == Units::Us),
                Way {
                    offset: 32.0,
                    ..Way::times(1.0 / 1.8, " °F", units != Units::Us)
                },
            ],
            Quantity::Price => vec![
                Way::times(1.0, " per kg", !metric),
                Way::times(1.0 / KG_PER_POUND, " per lb", metric),
            ],
            Quantity::Dose => vec![Way::times(1.0, " g/L", false)],
            Quantity::Gravity => vec![Way {
                least: 3,
                ..Way::times(1.0, "", false)
            }],
            Quantity::Strength(..) => vec![Way::times(1.0, " %", false)],
            Quantity::Percent(..) | Quantity::Days | Quantity::Number(..) => {
                vec![Way::times(1.0, "", false)]
            }
            Quantity::Fraction(_) => vec![Way::times(0.01, "", false)],
        }
    }
}

/// One unit in which a number can be written.
struct Way {
    size: f64,
    offset: f64,
    unit: &'static str,
    least: usize,
    /// Not the reader's own.
    foreign: bool,
    open: bool,
}

impl Way {
    fn times(size: f64, unit: &'static str, foreign: bool) -> Way {
        Way {
            size,
            offset: 0.0,
            unit,
            least: 0,
            foreign,
            open: true,
        }
    }

    fn only(self, open: bool) -> Way {
        Way { open, ..self }
    }

    /// The number in this unit with as many decimals as it takes; `None` where no text of this unit reads as it.
    fn write(&self, quantity: Quantity, value: f64, units: Units) -> Option<String> {
        let number = value / self.size + self.offset;
        let rounded = |decimals: usize| match decimals == self.least && self.least > 0 {
            true => units::fixed(number, decimals),
            false => plain(number, decimals),
        };
        let reads = |text: &String| {
            let read = quantity.read(text, units);
            read.is_ok_and(|read| match quantity {
                Quantity::Fraction(_) => same(read, value),
                _ => read == value,
            })
        };
        (self.least..=12)
            .map(rounded)
            .chain([number.to_string()])
            .filter(|_| self.open && number.is_finite())
            .map(|text| text + self.unit)
            .find(reads)
    }
}

/// What a bare number means in the amount of such an ingredient.
pub fn bare(kind: Kind) -> Bare {
    match kind {
        Kind::Honey | Kind::Fruit | Kind::Syrup | Kind::Sugar | Kind::Malt | Kind::Other => {
            Bare::LargeMass
        }
        Kind::Juice => Bare::Volume,
        _ => Bare::Grams,
    }
}

/// Reads the amount of an ingredient; nothing is one part of the rest.
///
/// # Errors
/// What to write instead.
pub fn read_amount(text: &str, kind: Kind, units: Units) -> Result<Amount, Fault> {
    Ok(match units::parse_amount(text, units, bare(kind))? {
        TypedAmount::Share(share) => Amount::Share(share),
        TypedAmount::Kg(kg) => Amount::Kg(kg),
        TypedAmount::Litres(litres) => Amount::Litres(litres),
        TypedAmount::GramsPerLitre(dose) => Amount::GramsPerLitre(dose),
    })
}

/// Key and number of an amount, as the document has them.
pub fn parts_of(amount: Amount) -> (&'static str, f64) {
    match amount {
        Amount::Share(share) => ("share", share),
        Amount::Kg(kg) => ("kg", kg),
        Amount::Litres(litres) => ("l", litres),
        Amount::GramsPerLitre(dose) => ("g_per_l", dose),
    }
}

/// Writes the amount of an ingredient so that it reads the same again.
pub fn write_amount(amount: Amount, alone: bool, units: Units) -> String {
    match amount {
        Amount::Share(1.0) if alone => "the rest".to_owned(),
        Amount::Share(1.0) => "1 part".to_owned(),
        Amount::Share(share) => format!("{} parts", Quantity::Number(0.0, 1e9).write(share, units)),
        Amount::Kg(kg) => Quantity::Mass.write(kg, units),
        Amount::Litres(litres) => Quantity::Volume.write(litres, units),
        Amount::GramsPerLitre(dose) => Quantity::Dose.write(dose, units),
    }
}
