//! Typed text to mass, volume, temperature, gravity, percentage and dose.

use super::Units;
use super::fault::{Fault, What};
use super::format::{grams_per_litre, mass, plain, temperature, volume};
use super::number::{Comma, Part, parts, unknown, within};
use super::size::{IMPERIAL_GALLON_L, MassUnit, US_GALLON_L, VolumeUnit, volume_named};
use crate::engine::check::{DOSE_G_PER_L, INGREDIENT_L, MASS_KG};
use crate::engine::water::CACO3_PER_MEQ;

/// Of whatever is measured; what a must may have is the engine's to say.
const COLDEST_C: f64 = -20.0;
const HOTTEST_C: f64 = 120.0;

/// Reads a mass in kilograms, 0 to 200 000: "1.5 kg", "3 lb 4 oz"; a bare number is in the member's large unit.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_mass(text: &str, units: Units) -> Result<f64, Fault> {
    let bare = if units == Units::Metric {
        MassUnit::Kilogram
    } else {
        MassUnit::Pound
    };
    parse_mass_in(text, bare)
}

/// Reads a mass in kilograms, with a bare number taken in `bare`.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_mass_in(text: &str, bare: MassUnit) -> Result<f64, Fault> {
    let found = parts(text, What::Mass, Comma::Ask)?;
    mass_of(&found, bare, What::Mass)
}

pub(super) fn mass_of(found: &[Part], bare: MassUnit, what: What) -> Result<f64, Fault> {
    let name = |word: &str| MassUnit::named(word).map(MassUnit::kg);
    let kg = sum(found, bare.kg(), what, name)?;
    let units = if bare.is_metric() {
        Units::Metric
    } else {
        Units::Us
    };
    within(kg, what, MASS_KG.low, MASS_KG.high, |x| mass(x, units))
}

/// Reads a volume in litres, 0 to 200 000: "20", "5 US gal", "2 tsp"; a bare number is in the member's large unit.
/// Gallons, quarts, pints and fluid ounces are the member's own; a metric member is asked which are meant.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_volume(text: &str, units: Units) -> Result<f64, Fault> {
    let found = parts(text, What::Volume, Comma::Ask)?;
    volume_of(&found, units, What::Volume)
}

pub(super) fn volume_of(found: &[Part], units: Units, what: What) -> Result<f64, Fault> {
    let bare = match units {
        Units::Metric => 1.0,
        Units::Us => US_GALLON_L,
        Units::Imperial => IMPERIAL_GALLON_L,
    };
    let total = |other: bool| {
        sum(found, bare, what, |word| {
            let unit = volume_named(word, units)?;
            Some(unit.other_litres.filter(|_| other).unwrap_or(unit.litres))
        })
    };
    let litres = total(false)?;
    let unsaid = |part: &&Part| {
        volume_named(&part.unit, units).is_some_and(|unit| unit.other_litres.is_some())
    };
    if let Some(part) = found.iter().find(unsaid) {
        return Err(Fault::WhichMeasure {
            unit: part.unit.clone(),
            us: volume(litres, Units::Metric),
            imperial: volume(total(true)?, Units::Metric),
        });
    }
    within(litres, what, INGREDIENT_L.low, INGREDIENT_L.high, |x| {
        volume(x, units)
    })
}

/// The unit of a volume that was typed with one.
pub(super) fn volume_unit_of(found: &[Part], units: Units) -> Option<VolumeUnit> {
    found
        .first()
        .and_then(|part| volume_named(&part.unit, units))
}

/// Adds up "3 lb 4 oz": units known, larger before smaller, none without a unit but a lone first one.
fn sum(
    found: &[Part],
    bare: f64,
    what: What,
    size: impl Fn(&str) -> Option<f64>,
) -> Result<f64, Fault> {
    let mut total = 0.0;
    let mut last = f64::INFINITY;
    for part in found {
        let one = if part.unit.is_empty() {
            if found.len() > 1 {
                return Err(Fault::UnitNeeded(what));
            }
            bare
        } else {
            size(&part.unit).ok_or_else(|| unknown(&part.unit, what))?
        };
        if one >= last {
            return Err(Fault::Order(what));
        }
        last = one;
        total += part.value * one;
    }
    Ok(total)
}

fn only(found: &[Part], what: What) -> Result<&Part, Fault> {
    match found {
        [part] => Ok(part),
        _ => Err(Fault::NoNumber(what)),
    }
}

/// Reads a temperature in degrees Celsius, −20 to 120: "20", "20 C", "68F"; a bare number is in the member's degrees.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_temperature(text: &str, units: Units) -> Result<f64, Fault> {
    let found = parts(text, What::Temperature, Comma::Ask)?;
    let part = only(&found, What::Temperature)?;
    let fahrenheit =
        is_fahrenheit(&part.unit, units).ok_or_else(|| unknown(&part.unit, What::Temperature))?;
    let celsius = if fahrenheit {
        (part.value - 32.0) / 1.8
    } else {
        part.value
    };
    within(celsius, What::Temperature, COLDEST_C, HOTTEST_C, |x| {
        temperature(x, units)
    })
}

/// Is this the unit of degrees Fahrenheit? `None` when it is no unit of temperature.
pub(super) fn is_fahrenheit(unit: &str, units: Units) -> Option<bool> {
    let word: String = unit
        .replace("degrees", "")
        .replace("degree", "")
        .replace("deg", "")
        .chars()
        .filter(|c| !matches!(c, '°' | 'º' | '˚' | ' '))
        .collect();
    match word.as_str() {
        "" => Some(units == Units::Us),
        "c" | "℃" | "celsius" | "centigrade" => Some(false),
        "f" | "℉" | "fahrenheit" => Some(true),
        _ => None,
    }
}

/// Reads a gravity as SG 20/20. Without a unit the size of the number tells what it is:
///
/// | number | read as |
/// |---|---|
/// | 0.900 to 1.500 | specific gravity |
/// | 900 to 1500 | a thousand times the specific gravity |
/// | 2 to 180 | points: 58 is 1.058 |
///
/// "14.3 °Bx", "14.3 brix" and "14.3 P" (0 to 80) go through `sg_of_fraction`, which is given the mass fraction 0.143.
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_gravity(text: &str, sg_of_fraction: impl Fn(f64) -> f64) -> Result<f64, Fault> {
    let found = parts(text, What::Gravity, Comma::Decimal)?;
    let part = only(&found, What::Gravity)?;
    let value = part.value;
    let kind = gravity_unit(&part.unit).ok_or_else(|| unknown(&part.unit, What::Gravity))?;
    let range = |low: &str, high: &str| Fault::OutOfRange {
        what: What::Gravity,
        low: low.to_owned(),
        high: high.to_owned(),
    };
    match kind {
        GravityUnit::Brix if (0.0..=80.0).contains(&value) => Ok(sg_of_fraction(value / 100.0)),
        GravityUnit::Brix => Err(range("0 °Bx", "80 °Bx")),
        GravityUnit::Points if (-100.0..=500.0).contains(&value) => Ok(1.0 + value / 1000.0),
        GravityUnit::Points => Err(range("-100 points", "500 points")),
        GravityUnit::Bare | GravityUnit::Sg if (0.9..=1.5).contains(&value) => Ok(value),
        GravityUnit::Bare | GravityUnit::Sg if (900.0..=1500.0).contains(&value) => {
            Ok(value / 1000.0)
        }
        GravityUnit::Bare if (2.0..=180.0).contains(&value) => Ok(1.0 + value / 1000.0),
        GravityUnit::Bare | GravityUnit::Sg => Err(range("0.900", "1.500")),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GravityUnit {
    Bare,
    Sg,
    Points,
    Brix,
}

pub(super) fn gravity_unit(unit: &str) -> Option<GravityUnit> {
    let word: String = unit
        .chars()
        .filter(|c| !matches!(c, '°' | 'º' | '˚' | ' '))
        .collect();
    match word.as_str() {
        "" => Some(GravityUnit::Bare),
        "sg" => Some(GravityUnit::Sg),
        "point" | "points" | "pts" => Some(GravityUnit::Points),
        "bx" | "brix" | "p" | "plato" => Some(GravityUnit::Brix),
        _ => None,
    }
}

/// Reads a percentage between `low` and `high`: "12", "12 %", "12.5 % ABV".
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_percent(text: &str, low: f64, high: f64) -> Result<f64, Fault> {
    let found = parts(text, What::Percent, Comma::Ask)?;
    let part = only(&found, What::Percent)?;
    match part.unit.as_str() {
        "" | "%" | "percent" | "per cent" | "% abv" | "%abv" | "abv" | "% vol" | "%vol" => {
            within(part.value, What::Percent, low, high, |x| {
                format!("{} %", plain(x, 2))
            })
        }
        unit => Err(unknown(unit, What::Percent)),
    }
}

/// Reads a dose in grams per litre, 0 to 1500: "0.5", "0.5 g/L", "50 mg/L", "2 g/gal", "20 g/hL".
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_dose(text: &str, units: Units) -> Result<f64, Fault> {
    let found = parts(text, What::Dose, Comma::Ask)?;
    dose_of(&found, units, What::Dose)
}

pub(super) fn dose_of(found: &[Part], units: Units, what: What) -> Result<f64, Fault> {
    let part = only(found, what)?;
    let one = if part.unit.is_empty() {
        1.0
    } else {
        let (one, per) = dose_unit(&part.unit, units).ok_or_else(|| unknown(&part.unit, what))?;
        if let Some(other) = per.other_litres {
            let dose = part.value * one;
            return Err(Fault::WhichMeasure {
                unit: per_word(&part.unit).to_owned(),
                us: grams_per_litre(dose),
                imperial: grams_per_litre(dose * per.litres / other),
            });
        }
        one
    };
    let range = DOSE_G_PER_L;
    within(
        part.value * one,
        what,
        range.low,
        range.high,
        grams_per_litre,
    )
}

/// mg of CaCO3 in a litre at one German degree of hardness: 10 mg of CaO in a litre, by molar masses (DIN 38409-6).
const CACO3_PER_GERMAN_DEGREE: f64 = 10.0 * 100.086 / 56.077;

/// Reads milligrams per litre of an ion: "40", "40 mg/L", "40 ppm".
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_ion(text: &str) -> Result<f64, Fault> {
    let found = parts(text, What::Ion, Comma::Ask)?;
    let part = only(&found, What::Ion)?;
    match part.unit.as_str() {
        "" | "mg/l" | "ppm" => Ok(part.value),
        unit => Err(unknown(unit, What::Ion)),
    }
}

/// Reads an alkalinity in milligrams per litre as CaCO3: "120", "120 mg/L", "7 °dH", "12 °fH", "2.4 mmol/L".
///
/// # Errors
/// A [`Fault`] whose text says what to write.
pub fn parse_alkalinity(text: &str) -> Result<f64, Fault> {
    let found = parts(text, What::Alkalinity, Comma::Ask)?;
    let part = only(&found, What::Alkalinity)?;
    let unit: String = part
        .unit
        .chars()
        .filter(|c| !matches!(c, '°' | 'º' | '˚' | ' '))
        .collect();
    let one = match unit.as_str() {
        "" | "mg/l" | "ppm" => 1.0,
        "mmol/l" | "meq/l" | "mval/l" => CACO3_PER_MEQ,
        "dh" | "dkh" => CACO3_PER_GERMAN_DEGREE,
        "fh" | "f" => 10.0,
        _ => return Err(unknown(&part.unit, What::Alkalinity)),
    };
    Ok(part.value * one)
}

/// The unit of volume in the unit of a dose.
fn per_word(unit: &str) -> &str {
    unit.rsplit(['/', ' ']).next().unwrap_or(unit)
}

/// Grams per litre in one of the unit, and the unit of volume in it; `None` when the text names no dose.
pub(super) fn dose_unit(unit: &str, units: Units) -> Option<(f64, VolumeUnit)> {
    if unit == "ppm" {
        return Some((1e-3, volume_named("l", units)?));
    }
    let (above, below) = unit
        .split_once('/')
        .or_else(|| unit.split_once(" per "))
        .or_else(|| unit.split_once(" a "))?;
    let mass = MassUnit::named(above.trim())?;
    let volume = volume_named(below.trim(), units)?;
    Some((mass.kg() * 1000.0 / volume.litres, volume))
}
