//! The amount of an ingredient row and the price of an ingredient, each in one text field.

use super::Units;
use super::fault::{Fault, What};
use super::format::price_per_mass;
use super::format::{beside_dose, beside_mass, beside_volume, plain};
use super::number::{Comma, Part, parts, unknown, within};
use super::parse::{dose_of, dose_unit, mass_of, volume_of};
use super::size::{MassUnit, volume_named};
use crate::engine::check::{PRICE, SHARE};

/// How much of an ingredient, as the recipe document keeps it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TypedAmount {
    /// Parts by mass of what is left to fill.
    Share(f64),
    Kg(f64),
    Litres(f64),
    GramsPerLitre(f64),
}

/// What a bare number means in an amount field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bare {
    /// Kilograms or pounds, by the member's units: honey, fruit, sugar.
    LargeMass,
    /// Grams: powders, spices.
    Grams,
    /// Litres or gallons, by the member's units: juice.
    Volume,
    /// Grams per litre: anything dosed.
    Dose,
}

/// Reads an amount. Nothing, "rest" or "the rest" is one share; "2 parts" is two shares.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_amount(text: &str, units: Units, bare: Bare) -> Result<TypedAmount, Fault> {
    let words = text.trim().to_lowercase();
    if matches!(
        words.as_str(),
        "" | "rest" | "the rest" | "balance" | "the balance"
    ) {
        return Ok(TypedAmount::Share(1.0));
    }
    let found = parts(text, What::Amount, Comma::Ask)?;
    let Some(first) = found.first() else {
        return Err(Fault::Empty(What::Amount));
    };
    if is_share(&first.unit) {
        return share(&found);
    }
    match kind(&first.unit, units, bare) {
        Some(Bare::Dose) => dose_of(&found, units, What::Amount).map(TypedAmount::GramsPerLitre),
        Some(Bare::Volume) => volume_of(&found, units, What::Amount).map(TypedAmount::Litres),
        Some(Bare::Grams) => mass_of(&found, MassUnit::Gram, What::Amount).map(TypedAmount::Kg),
        Some(Bare::LargeMass) => {
            let unit = if units == Units::Metric {
                MassUnit::Kilogram
            } else {
                MassUnit::Pound
            };
            mass_of(&found, unit, What::Amount).map(TypedAmount::Kg)
        }
        None => Err(unknown(&first.unit, What::Amount)),
    }
}

fn is_share(unit: &str) -> bool {
    matches!(unit, "part" | "parts" | "share" | "shares")
}

fn share(found: &[Part]) -> Result<TypedAmount, Fault> {
    match found {
        [part] => within(part.value, What::Amount, SHARE.low, SHARE.high, |x| {
            format!("{} parts", plain(x, 0))
        })
        .map(TypedAmount::Share),
        _ => Err(Fault::NoNumber(What::Amount)),
    }
}

/// Which sort of amount the first unit makes it; the bare meaning when there is none.
fn kind(unit: &str, units: Units, bare: Bare) -> Option<Bare> {
    if unit.is_empty() {
        Some(bare)
    } else if dose_unit(unit, units).is_some() {
        Some(Bare::Dose)
    } else if MassUnit::named(unit).is_some() {
        Some(Bare::LargeMass)
    } else {
        volume_named(unit, units).map(|_| Bare::Volume)
    }
}

/// What to print beside a typed amount, where it was typed in a unit that the member does not read: "= 18.9 L".
pub fn beside_amount(text: &str, units: Units, bare: Bare) -> Option<String> {
    match parse_amount(text, units, bare).ok()? {
        TypedAmount::Share(_) => None,
        TypedAmount::Kg(_) => beside_mass(text, units),
        TypedAmount::Litres(_) => beside_volume(text, units),
        TypedAmount::GramsPerLitre(_) => beside_dose(text, units),
    }
}

/// Reads a price per kilogram: "8.50", "8,50 / kg", "4 per lb", "12 for 3 lb". A bare number is per kilogram for a
/// metric member, per pound for the others. A currency sign in front or behind is skipped.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_price(text: &str, units: Units) -> Result<f64, Fault> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Fault::Empty(What::Price));
    }
    let lower = text.to_lowercase();
    let (money, per) = ["/", " per ", " for ", " a "]
        .iter()
        .find_map(|between| lower.split_once(between))
        .unwrap_or((lower.as_str(), ""));
    let kg = mass_bought(per, units)?;
    let money =
        money.trim_matches(|c: char| matches!(c, '$' | '€' | '£' | '¥') || c.is_whitespace());
    let found = parts(money, What::Price, Comma::Ask)?;
    let value = match found.as_slice() {
        [part] if part.unit.is_empty() => part.value,
        [part] => return Err(unknown(&part.unit, What::Price)),
        _ => return Err(Fault::NoNumber(What::Price)),
    };
    within(value / kg, What::Price, PRICE.low, PRICE.high, |x| {
        price_per_mass(x, units)
    })
}

/// The mass that a price is for, in kilograms: "lb", "3 lb", or one of the member's unit when nothing was said.
fn mass_bought(per: &str, units: Units) -> Result<f64, Fault> {
    let per = per.trim();
    let one = if units == Units::Metric {
        MassUnit::Kilogram
    } else {
        MassUnit::Pound
    };
    if per.is_empty() {
        return Ok(one.kg());
    }
    if let Some(unit) = MassUnit::named(per) {
        return Ok(unit.kg());
    }
    if !per.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')) {
        return Err(unknown(per, What::Price));
    }
    let found = parts(per, What::Price, Comma::Ask)?;
    if found.iter().any(|part| part.unit.is_empty()) {
        return Err(Fault::UnitNeeded(What::Price));
    }
    let kg = mass_of(&found, one, What::Price)?;
    if kg > 0.0 {
        Ok(kg)
    } else {
        Err(Fault::NoNumber(What::Price))
    }
}
