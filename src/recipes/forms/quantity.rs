//! What the workbench's number fields hold: how each is read, and how a number is written back without losing a bit.

use crate::engine::check::{self, Range};
use crate::engine::density::sg_of_fraction;
use crate::engine::recipe::{Amount, Kind};
use crate::engine::water::ALKALINITY;
use crate::web::units::{
    self, Bare, Fault, IMPERIAL_GALLON_L, KG_PER_POUND, MassUnit, TypedAmount, US_GALLON_L, Units,
    What, plain,
};

/// The sort of number a field asks for, with the range in which the engine reckons with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// Litres.
    Volume(Range),
    /// Kilograms.
    Mass(Range),
    /// Degrees Celsius.
    Temperature,
    /// Price of a kilogram.
    Price,
    /// Grams per litre.
    Dose,
    /// Specific gravity.
    Gravity(Range),
    /// A percentage, written with its sign.
    Strength,
    /// A percentage; the sign stands behind the box.
    Percent(Range),
    /// A fraction, typed as a percentage.
    Fraction(Range),
    /// Days.
    Days,
    /// Milligrams per litre of an ion.
    Ion,
    /// Milligrams per litre as CaCO3.
    Alkalinity,
    /// Grams of a salt.
    Salt,
    /// A bare number.
    Number(Range),
}

/// Where the document says nothing of a range.
const ANY: Range = Range {
    low: f64::MIN,
    high: f64::MAX,
};

/// Whether two numbers are one, but for the last bits that a percentage costs.
pub fn same(one: f64, other: f64) -> bool {
    one == other || (one - other).abs() <= 1e-12 * other.abs()
}

impl Quantity {
    /// What stands at a place of the recipe document: the engine's ranges are the form's.
    pub fn at(place: &str) -> Quantity {
        if let Some(name) = place.strip_prefix("/water_report/ions/") {
            return match crate::engine::water::meaning(name) {
                Some(ALKALINITY) => Quantity::Alkalinity,
                _ => Quantity::Ion,
            };
        }
        if place.starts_with("/water_report/salts/") {
            return Quantity::Salt;
        }
        let key = place
            .rsplit('/')
            .find(|part| part.parse::<usize>().is_err())
            .unwrap_or_default();
        match key {
            "volume_l" | "brim_l" => Quantity::Volume(check::VOLUME_L),
            "l" | "loss_l" => Quantity::Volume(check::INGREDIENT_L),
            "kg" => Quantity::Mass(check::MASS_KG),
            "use_honey_kg" => Quantity::Mass(check::HONEY_KG),
            "temperature_c" => Quantity::Temperature,
            "price_per_kg" => Quantity::Price,
            "g_per_l" | "max_g_per_l" => Quantity::Dose,
            "gravity_sg" => Quantity::Gravity(check::GRAVITY_SG),
            "sweeten_to_sg" | "arrest_to_sg" => Quantity::Gravity(check::FINAL_SG),
            "abv_percent" => Quantity::Strength,
            "tolerance_abv_percent" => Quantity::Percent(check::TOLERANCE),
            "headspace_fraction" => Quantity::Fraction(check::HEADSPACE),
            "water" | "fermentable" | "unfermentable" | "insoluble" => {
                Quantity::Fraction(check::FRACTION)
            }
            "share" if place.starts_with("/nutrients/") => Quantity::Fraction(check::FRACTION),
            "share" => Quantity::Number(check::SHARE),
            "days" => Quantity::Days,
            "yan_mg_per_kg" => Quantity::Number(check::YAN_MG_PER_KG),
            "ta_g_per_kg" => Quantity::Number(check::TA_G_PER_KG),
            "density_kg_per_l" => Quantity::Number(check::DENSITY),
            "ammonium_yan_mg_per_g" | "organic_yan_mg_per_g" => {
                Quantity::Number(check::FEED_MG_PER_G)
            }
            _ => Quantity::Number(ANY),
        }
    }

    fn range(self) -> Range {
        match self {
            Quantity::Temperature => check::TEMPERATURE_C,
            Quantity::Price => check::PRICE,
            Quantity::Dose => check::DOSE_G_PER_L,
            Quantity::Strength => check::ABV_PERCENT,
            Quantity::Days => check::DAYS,
            Quantity::Ion | Quantity::Alkalinity | Quantity::Salt => check::WATER,
            Quantity::Volume(range)
            | Quantity::Mass(range)
            | Quantity::Gravity(range)
            | Quantity::Percent(range)
            | Quantity::Fraction(range)
            | Quantity::Number(range) => range,
        }
    }

    /// Reads a typed text.
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(self, text: &str, units: Units) -> Result<f64, Fault> {
        match self.understood(text, units) {
            Ok(value) if self.range().holds(value) => Ok(value),
            Ok(_) | Err(Fault::OutOfRange { .. }) => Err(self.outside(self.what(), units)),
            Err(fault) => Err(fault),
        }
    }

    /// The number that a text means, also where nobody can reckon with it.
    ///
    /// # Errors
    /// What to write instead.
    pub fn understood(self, text: &str, units: Units) -> Result<f64, Fault> {
        let percent = |text: &str| units::parse_percent(text, f64::MIN, f64::MAX);
        match self {
            Quantity::Volume(_) => units::parse_volume(text, units),
            Quantity::Mass(_) => units::parse_mass(text, units),
            Quantity::Temperature => units::parse_temperature(text, units),
            Quantity::Price => units::parse_price(text, units),
            Quantity::Dose => units::parse_dose(text, units),
            Quantity::Gravity(_) => units::parse_gravity(text, sg_of_fraction),
            Quantity::Strength | Quantity::Percent(_) => percent(text),
            Quantity::Fraction(_) => percent(text).map(|percent| percent / 100.0),
            Quantity::Days => {
                let text = text.trim();
                let bare = ["days", "day", "d"]
                    .iter()
                    .find_map(|word| text.strip_suffix(word))
                    .unwrap_or(text);
                units::parse_number(bare.trim())
            }
            Quantity::Ion => units::parse_ion(text),
            Quantity::Alkalinity => units::parse_alkalinity(text),
            Quantity::Salt => units::parse_mass_in(text, MassUnit::Gram).map(|kg| kg * 1000.0),
            Quantity::Number(_) => units::parse_number(text),
        }
    }

    fn what(self) -> What {
        match self {
            Quantity::Volume(_) => What::Volume,
            Quantity::Mass(_) | Quantity::Salt => What::Mass,
            Quantity::Ion => What::Ion,
            Quantity::Alkalinity => What::Alkalinity,
            Quantity::Temperature => What::Temperature,
            Quantity::Price => What::Price,
            Quantity::Dose => What::Dose,
            Quantity::Gravity(_) => What::Gravity,
            Quantity::Strength | Quantity::Percent(_) | Quantity::Fraction(_) => What::Percent,
            Quantity::Days | Quantity::Number(_) => What::Number,
        }
    }

    fn outside(self, what: What, units: Units) -> Fault {
        let range = self.range();
        Fault::OutOfRange {
            what,
            low: self.show(range.low, units),
            high: self.show(range.high, units),
        }
    }

    /// A number as a reader of these units reads it.
    fn show(self, value: f64, units: Units) -> String {
        match self {
            Quantity::Volume(_) => units::volume(value, units),
            Quantity::Mass(_) => units::mass(value, units),
            Quantity::Temperature => units::temperature(value, units),
            Quantity::Price => units::price_per_mass(value, units),
            Quantity::Dose => units::grams_per_litre(value),
            Quantity::Gravity(_) => units::gravity(value),
            Quantity::Strength | Quantity::Percent(_) => format!("{} %", plain(value, 2)),
            Quantity::Fraction(_) => format!("{} %", plain(value * 100.0, 2)),
            Quantity::Ion | Quantity::Alkalinity => format!("{} mg/L", plain(value, 2)),
            Quantity::Salt => units::mass(value / 1000.0, units),
            Quantity::Days | Quantity::Number(_) => plain(value, 6),
        }
    }

    /// The shortest text that reads as this number again, in the reader's units if that is not much longer. A number
    /// that no text of the field reads as stands there with its unit all the same.
    pub fn write(self, value: f64, units: Units) -> String {
        let ways = self.ways(units);
        let texts = ways
            .iter()
            .filter_map(|way| Some((way.write(self, value, units)?, way.foreign)));
        texts
            .min_by_key(|(text, foreign)| text.chars().count() + if *foreign { 3 } else { 0 })
            .map(|(text, _)| text)
            .or_else(|| ways.first().map(|way| way.in_full(value)))
            .unwrap_or_default()
    }

    fn ways(self, units: Units) -> Vec<Way> {
        let metric = units == Units::Metric;
        match self {
            Quantity::Volume(_) => vec![
                Way::times(1.0, " L", !metric),
                Way::times(0.001, " ml", !metric),
                Way::times(US_GALLON_L, " gal", false).only(units == Units::Us),
                Way::times(US_GALLON_L, " US gal", true).only(units != Units::Us),
                Way::times(IMPERIAL_GALLON_L, " gal", false).only(units == Units::Imperial),
                Way::times(IMPERIAL_GALLON_L, " imp gal", true).only(units != Units::Imperial),
            ],
            Quantity::Mass(_) => vec![
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
            Quantity::Gravity(_) => vec![Way {
                least: 3,
                ..Way::times(1.0, "", false)
            }],
            Quantity::Strength => vec![Way::times(1.0, " %", false)],
            Quantity::Salt => vec![Way::times(1.0, " g", false)],
            Quantity::Percent(_)
            | Quantity::Days
            | Quantity::Ion
            | Quantity::Alkalinity
            | Quantity::Number(_) => {
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

    /// The number in this unit, bit for bit.
    fn in_full(&self, value: f64) -> String {
        format!("{}{}", value / self.size + self.offset, self.unit)
    }

    /// The number in this unit with as many decimals as it takes; `None` where no text of this unit reads as it.
    fn write(&self, quantity: Quantity, value: f64, units: Units) -> Option<String> {
        let number = value / self.size + self.offset;
        let rounded = |decimals: usize| match decimals == self.least && self.least > 0 {
            true => units::fixed(number, decimals),
            false => plain(number, decimals),
        };
        let reads = |text: &String| {
            let read = quantity.understood(text, units);
            read.is_ok_and(|read| match quantity {
                Quantity::Fraction(_) | Quantity::Salt => same(read, value),
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
    let amount = understood_amount(text, kind, units)?;
    let (key, value) = parts_of(amount);
    let quantity = Quantity::at(&format!("/amount/{key}"));
    match quantity.range().holds(value) {
        true => Ok(amount),
        false => Err(quantity.outside(What::Amount, units)),
    }
}

/// The amount that a text means, also where nobody can reckon with it.
///
/// # Errors
/// What to write instead.
pub fn understood_amount(text: &str, kind: Kind, units: Units) -> Result<Amount, Fault> {
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
    let (key, value) = parts_of(amount);
    let written = || Quantity::at(&format!("/amount/{key}")).write(value, units);
    match amount {
        Amount::Share(1.0) if alone => "the rest".to_owned(),
        Amount::Share(1.0) => "1 part".to_owned(),
        Amount::Share(_) => format!("{} parts", written()),
        _ => written(),
    }
}
