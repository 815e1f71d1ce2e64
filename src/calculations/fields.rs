//! One field: from the text in it to what the engine takes, and back to what a reader reads.

use super::model::{Field, Kind};
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{Composition, Entry, Yeast};
use crate::engine::carbonation::GRAMS_PER_VOLUME;
use crate::engine::density::{WATER_20, fraction_of_sg, sg_of_fraction};
use crate::engine::json::Json;
use crate::engine::recipe::NitrogenNeed;
use crate::web::units::{self, Fault, MassUnit, Units, What};

/// Keys of the engine with their values: most fields give one, a yeast two.
pub type Found = Vec<(String, Json)>;

/// What a field is read with.
#[derive(Clone, Copy)]
pub struct Around<'a> {
    pub units: Units,
    pub club: &'a ClubCatalogue,
    /// Gravity of the must, °Bx, where the fields before told it.
    pub brix: Option<f64>,
}

/// Reads a text that is not empty.
///
/// # Errors
/// A sentence that says what to write.
pub fn read(field: &Field, text: &str, around: Around<'_>) -> Result<Found, String> {
    let units = around.units;
    let one = |value: Result<f64, Fault>| {
        let value = value.map_err(|fault| fault.to_string())?;
        Ok(vec![(field.key.to_owned(), Json::from(value))])
    };
    match field.kind {
        Kind::Volume => one(units::parse_volume(text, units)),
        Kind::Must => one(kilograms(text, units, around.brix)),
        Kind::Water => one(kilograms(text, units, None)),
        Kind::Temperature => one(units::parse_temperature(text, units)),
        Kind::Gravity => one(units::parse_gravity(text, sg_of_fraction)),
        Kind::AnyGravity => any_gravity(field.key, text),
        Kind::Brix => one(units::parse_gravity(text, sg_of_fraction).map(brix_of)),
        Kind::Points => one(points(text)),
        Kind::Percent => one(units::parse_percent(text, 0.0, 100.0)),
        Kind::Dose => one(signed_dose(text, 1.0, units)),
        Kind::Milligrams => one(signed_dose(text, 1000.0, units)),
        Kind::Grams => one(units::parse_mass_in(text, MassUnit::Gram).map(|kg| kg * 1000.0)),
        Kind::Gas => one(gas(text, units)),
        Kind::Number => one(units::parse_number(text)),
        Kind::Choice(_) => Ok(vec![(field.key.to_owned(), Json::Text(text.to_owned()))]),
        Kind::Level(levels) => match levels.iter().any(|(level, _)| *level == text) {
            true => one(units::parse_number(text)),
            false => Err(CHOOSE.to_owned()),
        },
        Kind::Honey | Kind::Sweetener => {
            let entry = around.club.find(text);
            let parts = entry.and_then(|entry| entry.composition);
            let parts = parts.ok_or_else(|| CHOOSE.to_owned())?;
            Ok(vec![(field.key.to_owned(), made_of(&parts))])
        }
        Kind::Yeast => yeast(text, around.club),
    }
}

const CHOOSE: &str = "Choose one of the list.";

/// What is asked for in an empty field that needs something.
pub fn empty(field: &Field) -> String {
    let what = match field.kind {
        Kind::Volume | Kind::Must | Kind::Water => What::Volume,
        Kind::Temperature => What::Temperature,
        Kind::Gravity | Kind::AnyGravity | Kind::Brix => What::Gravity,
        Kind::Percent => What::Percent,
        Kind::Dose | Kind::Milligrams => What::Dose,
        Kind::Grams => What::Mass,
        Kind::Points | Kind::Gas | Kind::Number => What::Number,
        Kind::Choice(_) | Kind::Level(_) | Kind::Honey | Kind::Sweetener | Kind::Yeast => {
            return CHOOSE.to_owned();
        }
    };
    Fault::Empty(what).to_string()
}

fn brix_of(sg: f64) -> f64 {
    fraction_of_sg(sg).map_or(f64::NAN, |fraction| 100.0 * fraction)
}

/// Kilograms by weight or by volume; litres weigh what a must of that °Bx weighs, or water.
fn kilograms(text: &str, units: Units, brix: Option<f64>) -> Result<f64, Fault> {
    let by_volume = units::parse_volume(text, units).map(|litres| {
        let sg = sg_of_fraction(brix.unwrap_or(0.0) / 100.0);
        litres * sg * WATER_20 / 1000.0
    });
    match by_volume {
        Err(Fault::UnknownUnit { unit, what }) => {
            units::parse_mass(text, units).map_err(|_| Fault::UnknownUnit { unit, what })
        }
        other => other,
    }
}

fn any_gravity(key: &str, text: &str) -> Result<Found, String> {
    let small = text.to_lowercase().replace('³', "3");
    if let Some((number, _)) = small.split_once("kg/m3") {
        let value = units::parse_number(number).map_err(|fault| fault.to_string())?;
        return Ok(vec![("density_kg_per_m3".to_owned(), Json::from(value))]);
    }
    let value = units::parse_gravity(text, sg_of_fraction).map_err(|fault| fault.to_string())?;
    Ok(vec![(key.to_owned(), Json::from(value))])
}

/// A fall of gravity: "15", "15 points" and "0.015" are one.
fn points(text: &str) -> Result<f64, Fault> {
    let small = text.trim().to_lowercase();
    let number = small.trim_end_matches("points").trim_end_matches("point");
    let value = units::parse_number(number)?;
    Ok(if value < 1.0 { value } else { value / 1000.0 })
}

/// So much in a litre; a number without a unit counts `per_g` to the gram. A minus takes away.
fn signed_dose(text: &str, per_g: f64, units: Units) -> Result<f64, Fault> {
    match units::parse_number(text) {
        Err(Fault::UnknownUnit { .. }) => {
            let text = text.trim();
            let positive = text.strip_prefix(['-', '−', '–']);
            let dose = units::parse_dose(positive.unwrap_or(text), units)? * per_g;
            Ok(if positive.is_some() { -dose } else { dose })
        }
        other => other,
    }
}

/// Volumes of gas: "2.5", "2.5 volumes", "5 g/L".
fn gas(text: &str, units: Units) -> Result<f64, Fault> {
    let small = text.trim().to_lowercase();
    let ends = ["volumes", "volume", "vols", "vol"];
    let number = ends.iter().find_map(|end| small.strip_suffix(end));
    match units::parse_number(number.unwrap_or(&small)) {
        Err(Fault::UnknownUnit { .. }) => {
            units::parse_dose(text, units).map(|grams| grams / GRAMS_PER_VOLUME)
        }
        other => other,
    }
}

fn made_of(parts: &Composition) -> Json {
    let fractions = [
        ("water", parts.water),
        ("fermentable", parts.fermentable),
        ("unfermentable", parts.unfermentable),
        ("insoluble", parts.insoluble),
    ];
    let members = fractions.map(|(key, part)| (key.to_owned(), Json::from(part)));
    Json::Object(members.into())
}

fn yeast(text: &str, club: &ClubCatalogue) -> Result<Found, String> {
    let need = |word: &str| ("nitrogen_need".to_owned(), Json::Text(word.to_owned()));
    if let Some(class) = NitrogenNeed::ALL
        .iter()
        .find(|class| class.as_str() == text)
    {
        return Ok(vec![need(class.as_str())]);
    }
    let yeast = club.find_yeast(text).ok_or_else(|| CHOOSE.to_owned())?;
    let limit = Json::from(yeast.tolerance_abv_percent());
    Ok(vec![
        need(yeast.nitrogen_need.word()),
        ("tolerance_abv_percent".to_owned(), limit),
    ])
}

/// What may be chosen: values and words; none for what is typed.
pub fn options(field: &Field, club: &ClubCatalogue) -> Vec<(String, String)> {
    let named = |entry: &Entry| (entry.key.clone(), entry.name.clone());
    match field.kind {
        Kind::Choice(all) => {
            let words = all().into_iter();
            words.map(|(word, name)| (word.to_owned(), name)).collect()
        }
        Kind::Level(levels) => {
            let levels = levels.iter();
            levels
                .map(|(level, name)| ((*level).to_owned(), (*name).to_owned()))
                .collect()
        }
        Kind::Honey => club.honeys().map(named).collect(),
        Kind::Sweetener => {
            let sweet = club.others().filter(|entry| is_sweetener(entry));
            club.honeys().chain(sweet).map(named).collect()
        }
        Kind::Yeast => {
            let classes = NitrogenNeed::ALL.iter().map(|class| {
                let need = class.as_str();
                (need.to_owned(), format!("any yeast of {need} need"))
            });
            let yeasts = club
                .yeasts()
                .map(|yeast| (yeast.key.clone(), words_of(yeast)));
            classes.chain(yeasts).collect()
        }
        _ => Vec::new(),
    }
}

/// Whether the field is a list to choose from.
pub fn is_choice(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Choice(_) | Kind::Level(_) | Kind::Honey | Kind::Sweetener | Kind::Yeast
    )
}

fn is_sweetener(entry: &Entry) -> bool {
    matches!(entry.kind.word(), "syrup" | "sugar") && entry.composition.is_some()
}

fn words_of(yeast: &Yeast) -> String {
    let [low, high] = yeast.tolerance_range;
    let (low, high) = (units::plain(low, 1), units::plain(high, 1));
    let limit = match low == high {
        true => format!("{low} %"),
        false => format!("{low} to {high} %"),
    };
    format!(
        "{} ({limit}, {} need)",
        yeast.name,
        yeast.nitrogen_need.word()
    )
}

/// What stands behind the box: what a number without a unit was taken for, and the reader's own units, where it was typed
/// in others.
pub fn beside(kind: Kind, text: &str, units: Units) -> String {
    let bare = !text.chars().any(|c| c.is_alphabetic() || c == '°');
    let said = match kind {
        Kind::Volume | Kind::Must | Kind::Water if bare => {
            let litres = units::parse_volume(text, units).ok();
            litres.map(|litres| read_as(kind, litres, units))
        }
        Kind::Temperature if bare => {
            let celsius = units::parse_temperature(text, units).ok();
            celsius.map(|celsius| read_as(kind, celsius, units))
        }
        Kind::Dose | Kind::Milligrams | Kind::Grams | Kind::Gas if bare => {
            let number = units::parse_number(text).ok();
            number.map(|number| read_as(kind, number, units))
        }
        Kind::Volume => units::beside_volume(text, units),
        Kind::Must | Kind::Water => {
            units::beside_volume(text, units).or_else(|| units::beside_mass(text, units))
        }
        Kind::Temperature => units::beside_temperature(text, units),
        Kind::Gravity | Kind::AnyGravity => units::beside_gravity(text, sg_of_fraction),
        Kind::Dose => units::beside_dose(text, units),
        Kind::Grams => units::beside_mass(text, units),
        _ => None,
    };
    said.unwrap_or_default()
}

fn read_as(kind: Kind, value: f64, units: Units) -> String {
    let shown = match kind {
        Kind::Volume | Kind::Must | Kind::Water => match units {
            Units::Metric => units::volume(value, units),
            _ => units::volume_both(value, units),
        },
        _ => shown(kind, value, units),
    };
    format!("read as {shown}")
}

/// A value as a reader reads it, with more places than an answer has.
pub fn shown(kind: Kind, value: f64, units: Units) -> String {
    match kind {
        Kind::Volume => units::volume(value, units),
        Kind::Must | Kind::Water => units::mass(value, units),
        Kind::Temperature => units::temperature(value, units),
        Kind::Gravity | Kind::AnyGravity => units::fixed(value, 4),
        Kind::Brix => format!("{} °Bx", units::fixed(value, 2)),
        Kind::Points => format!("{} points", units::plain(value * 1000.0, 1)),
        Kind::Percent => format!("{} %", units::plain(value, 2)),
        Kind::Dose => units::grams_per_litre(value),
        Kind::Milligrams => format!("{} mg/L", units::plain(value, 2)),
        Kind::Grams => format!("{} g", units::plain(value, 2)),
        Kind::Gas => format!("{} volumes", units::plain(value, 2)),
        _ => units::plain(value, 4),
    }
}
