//! The form of a sensor: its names from text, and an example tried with them.

use chrono::{DateTime, Utc};

use super::model::{Fields, GravityAs, NAME_MAX, TemperatureAs};
use super::reading;
use crate::batches::opened::Opened;
use crate::engine::json::NotJson;
use crate::engine::problem::{Problem, ProblemCode};
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::Member;

/// How gravity is told, in words.
pub(super) const GRAVITY: &[(&str, &str)] = &[
    ("sg", "as SG, such as 1.058"),
    ("points", "in points, such as 58"),
    ("percent", "in °P or °Bx, such as 14.3"),
];
/// How temperature is told, in words.
pub(super) const TEMPERATURE: &[(&str, &str)] = &[("celsius", "in °C"), ("fahrenheit", "in °F")];

/// What a sensor is called.
pub(super) fn name(typed: &mut Typed<'_>) -> Result<String, Error> {
    let why = "Write what it is, such as The float in the bucket.";
    typed.wanted("name", NAME_MAX, why)
}

/// The form of a sensor as it is.
pub(super) fn filled(name: &str, fields: &Fields) -> FormState {
    let mut form = FormState::new();
    form.set("name", name);
    form.set("gravity", fields.gravity.clone());
    form.set("gravity_as", fields.gravity_as.word());
    form.set("temperature", fields.temperature.clone());
    form.set("temperature_as", fields.temperature_as.word());
    form.set("time", fields.time.clone());
    form
}

/// What the form says a sensor calls things.
pub(super) fn fields(typed: &mut Typed<'_>) -> Result<Fields, Error> {
    let gravity = typed.line("gravity", NAME_MAX)?;
    let temperature = typed.line("temperature", NAME_MAX)?;
    let time = typed.line("time", NAME_MAX)?;
    if gravity.is_empty() && temperature.is_empty() {
        typed.form.refuse(
            "gravity",
            "Write what the sensor calls the gravity, or below what it calls the temperature.",
        );
    }
    let gravity_as = GravityAs::from_word(typed.text("gravity_as")?);
    if gravity_as.is_none() {
        typed.form.refuse("gravity_as", "Choose one of the list.");
    }
    let temperature_as = TemperatureAs::from_word(typed.text("temperature_as")?);
    if temperature_as.is_none() {
        typed
            .form
            .refuse("temperature_as", "Choose one of the list.");
    }
    Ok(Fields {
        gravity,
        gravity_as: gravity_as.unwrap_or_default(),
        temperature,
        temperature_as: temperature_as.unwrap_or_default(),
        time,
    })
}

/// What would be read of the example that was pasted; its faults stand in the form.
pub(super) fn example(
    typed: &mut Typed<'_>,
    fields: &Fields,
    opened: &Opened,
    member: &Member,
    now: DateTime<Utc>,
) -> Result<Vec<String>, Error> {
    let text = typed.text("example")?;
    if text.is_empty() || text.len() > reading::MAX_BYTES {
        let why = "Paste what the sensor sends: at most 4,000 letters.";
        typed.form.refuse("example", why);
    }
    if !typed.form.is_sound() {
        return Ok(Vec::new());
    }
    Ok(
        tried(fields, text, opened, member, now).unwrap_or_else(|why| {
            typed.form.refuse("example", why);
            Vec::new()
        }),
    )
}

/// What would be read of an example, in words, or why nothing.
fn tried(
    fields: &Fields,
    example: &str,
    opened: &Opened,
    member: &Member,
    now: DateTime<Utc>,
) -> Result<Vec<String>, String> {
    let sent =
        reading::sent(example).map_err(|NotJson(why)| format!("This cannot be read: {why}."))?;
    let read = reading::read(fields, &sent, now, opened.batch.began_at);
    let read = read.map_err(|problems| {
        let told: Vec<String> = problems.iter().map(told).collect();
        told.join(" ")
    })?;
    let sg = read
        .data
        .sg
        .map(|sg| format!("Gravity {}", units::gravity(sg)));
    let heat = read.data.must_temperature_c;
    let heat = heat.map(|c| format!("Must at {}", units::temperature(c, member.settings.units)));
    let at = match read.at {
        Some(at) => format!("Measured {}", moment(at, member.settings.zone)),
        None => "The time at which it comes is taken for the time of the reading.".to_owned(),
    };
    Ok(sg.into_iter().chain(heat).chain([at]).collect())
}

/// A problem with what a sensor sends, in words.
fn told(problem: &Problem) -> String {
    let name = problem.path.trim_start_matches('/');
    match problem.code {
        ProblemCode::Missing => format!("There is no “{name}” in it."),
        ProblemCode::OutOfRange => {
            format!("What stands under “{name}” is out of range. Is it told in other units?")
        }
        _ => {
            let wanted = problem
                .arguments
                .text("expected")
                .unwrap_or("something else");
            format!("What stands under “{name}” is not {wanted}.")
        }
    }
}
