//! Fields that several sorts have: read with the engine's ranges, and filled so that they read back the same.

use super::{Case, Field, Is, hinted};
use crate::batches::log::tools::USUAL;
use crate::engine::density::sg_of_fraction;
use crate::engine::log::ranges::range_of;
use crate::vessels::instruments::Hydrometer;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::units::{
    self, MassUnit, parse_gravity, parse_mass_in, parse_number_within, parse_temperature,
    parse_volume,
};

/// The longest note, in characters.
pub const NOTE_MAX: usize = 2000;
/// The longest name of an ingredient or a vessel, in characters.
pub const NAME_MAX: usize = 120;

/// A volume, L.
pub fn volume(
    typed: &mut Typed<'_>,
    case: &Case<'_>,
    field: &str,
    key: &str,
) -> Result<Option<f64>, Error> {
    let value = typed.read(field, |text| parse_volume(text, case.to.units))?;
    Ok(within(typed, field, key, value))
}

/// A temperature, °C.
pub fn temperature(
    typed: &mut Typed<'_>,
    case: &Case<'_>,
    field: &str,
    key: &str,
) -> Result<Option<f64>, Error> {
    let value = typed.read(field, |text| parse_temperature(text, case.to.units))?;
    Ok(within(typed, field, key, value))
}

/// A small mass, g; a bare number is grams.
pub fn grams(typed: &mut Typed<'_>, field: &str, key: &str) -> Result<Option<f64>, Error> {
    let kg = typed.read(field, |text| parse_mass_in(text, MassUnit::Gram))?;
    Ok(within(typed, field, key, kg.map(|kg| 1000.0 * kg)))
}

/// A plain number of the range of its key.
pub fn number(typed: &mut Typed<'_>, field: &str, key: &str) -> Result<Option<f64>, Error> {
    let Some(range) = range_of(key) else {
        return Ok(None);
    };
    typed.read(field, |text| {
        parse_number_within(text, range.low, range.high).map_err(|fault| fault.to_string())
    })
}

/// Refuses what the engine does not take.
fn within(typed: &mut Typed<'_>, field: &str, key: &str, value: Option<f64>) -> Option<f64> {
    let sound = |value: &f64| range_of(key).is_none_or(|range| range.holds(*value));
    if value.is_some_and(|value| !sound(&value)) {
        typed
            .form
            .refuse(field, "That is beyond anything a mead can be. Look again.");
    }
    value.filter(sound)
}

/// A gravity as it is read off a scale.
pub fn gravity(typed: &mut Typed<'_>, field: &str) -> Result<Option<f64>, Error> {
    typed.read(field, |text| {
        let sg = parse_gravity(text, sg_of_fraction).map_err(|fault| fault.to_string())?;
        match range_of("read_sg").is_some_and(|range| range.holds(sg)) {
            true => Ok(sg),
            false => Err("Write a gravity from 0.900 to 1.300, such as 1058.".to_owned()),
        }
    })
}

/// What a hydrometer showed, and the gravity behind it.
#[derive(Default)]
pub struct Shown {
    pub read_sg: Option<f64>,
    pub sg: Option<f64>,
    pub instrument: Option<String>,
}

/// Reads "gravity" off the instrument of the field "instrument", in a sample of that temperature.
pub fn by_hydrometer(
    typed: &mut Typed<'_>,
    case: &Case<'_>,
    at_c: Option<f64>,
) -> Result<Shown, Error> {
    let read_sg = gravity(typed, "gravity")?;
    let chosen = typed.text("instrument")?;
    let tool = case.tools.iter().find(|tool| tool.public_id == chosen);
    if tool.is_none() && !chosen.is_empty() {
        typed.form.refuse("instrument", "Choose one of the list.");
    }
    let Some(shown) = read_sg else {
        return Ok(Shown::default());
    };
    let sg = corrected(
        typed,
        case,
        shown,
        at_c,
        tool.map_or(&USUAL, |tool| &tool.is),
    );
    Ok(Shown {
        read_sg,
        sg,
        instrument: tool.map(|tool| tool.name.clone()),
    })
}

/// The gravity behind what the hydrometer showed.
fn corrected(
    typed: &mut Typed<'_>,
    case: &Case<'_>,
    shown: f64,
    at_c: Option<f64>,
    hydrometer: &Hydrometer,
) -> Option<f64> {
    let Some(at_c) = at_c else {
        return Some(shown - (hydrometer.in_water_sg - 1.0));
    };
    let found = hydrometer.corrected(shown, at_c, case.abv_percent());
    if found.is_none() {
        typed.form.refuse(
            "temperature",
            "It cannot be corrected at this temperature. Let the sample come to between 5 and 40 °C, and read again.",
        );
    }
    found
}

/// The field in which the hydrometer is chosen.
pub fn instrument(case: &Case<'_>) -> Field {
    let none = (String::new(), "one marked for 20 °C".to_owned());
    let mine = case
        .tools
        .iter()
        .map(|tool| (tool.public_id.clone(), tool.name.clone()));
    let choices = std::iter::once(none).chain(mine).collect();
    hinted("instrument", "Read with", Is::Choice(choices), "")
}

/// The first hydrometer of the member, if there is one.
pub fn usual_instrument(case: &Case<'_>, form: &mut FormState) {
    if let Some(tool) = case.tools.first() {
        form.set("instrument", tool.public_id.clone());
    }
}

/// The hydrometer of a name.
pub fn fill_instrument(case: &Case<'_>, form: &mut FormState, name: Option<&String>) {
    let tool = case.tools.iter().find(|tool| Some(&tool.name) == name);
    if let Some(tool) = tool {
        form.set("instrument", tool.public_id.clone());
    }
}

pub fn fill_volume(case: &Case<'_>, form: &mut FormState, field: &str, litres: Option<f64>) {
    if let Some(litres) = litres {
        form.set(field, units::volume_text(litres, case.to.units));
    }
}

pub fn fill_temperature(case: &Case<'_>, form: &mut FormState, field: &str, celsius: Option<f64>) {
    if let Some(celsius) = celsius {
        form.set(field, units::temperature_text(celsius, case.to.units));
    }
}

/// A gravity that reads back the same to a hundred-thousandth.
pub fn fill_gravity(form: &mut FormState, field: &str, sg: Option<f64>) {
    fill_number(form, field, sg, 5);
}

pub fn fill_grams(form: &mut FormState, field: &str, grams: Option<f64>) {
    if let Some(grams) = grams {
        form.set(field, format!("{} g", units::plain(grams, 3)));
    }
}

pub fn fill_number(form: &mut FormState, field: &str, value: Option<f64>, decimals: usize) {
    if let Some(value) = value {
        form.set(field, units::plain(value, decimals));
    }
}

/// A text of which nothing is nothing.
pub fn some(text: String) -> Option<String> {
    Some(text).filter(|text| !text.is_empty())
}
