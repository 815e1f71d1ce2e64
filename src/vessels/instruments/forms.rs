//! The form of an instrument, by its kind.

use chrono::NaiveDate;

use super::{Described, Hydrometer, Kind, KitchenScale, What};
use crate::engine::density::sg_of_fraction;
use crate::vessels::forms::{NAME_LONGEST, NOTES_LONGEST, Reading, as_typed};
use crate::web::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::units::{
    self, MassUnit, Units, parse_gravity, parse_mass_in, parse_number, parse_temperature,
};

/// Fields whose texts are kept as they were typed.
const KEPT: [&str; 6] = [
    "in_water",
    "marked_for",
    "step",
    "most",
    "in_ice",
    "calibrated",
];

/// Reads a step of gravity: "0.001", "1 point", "2".
fn gravity_step(text: &str) -> Result<f64, &'static str> {
    const WHY: &str = "Write one step of its scale, from 0.0001 to 0.01, such as 0.002.";
    let bare = text.trim_end_matches(|c: char| c.is_alphabetic() || c.is_whitespace());
    let step = parse_number(bare).map_err(|_| WHY)?;
    // Scales in thousandths are told in points by many.
    let step = if step >= 0.5 { step / 1000.0 } else { step };
    match (0.0001..=0.01).contains(&step) {
        true => Ok(step),
        false => Err(WHY),
    }
}

/// Reads what it shows in water; 1.000 where it shows what it should.
fn in_water(text: &str) -> Result<f64, String> {
    let sg = parse_gravity(text, sg_of_fraction).map_err(|fault| fault.to_string())?;
    match (0.95..=1.05).contains(&sg) {
        true => Ok(sg),
        false => Err(
            "In plain water it shows about 1.000: write what it shows, from 0.950 to 1.050."
                .to_owned(),
        ),
    }
}

fn grams(text: &str) -> Result<f64, String> {
    let kg = parse_mass_in(text, MassUnit::Gram).map_err(|fault| fault.to_string())?;
    Ok(kg * 1000.0)
}

fn step_of_scale(text: &str) -> Result<f64, String> {
    match grams(text)? {
        step if (0.001..=1000.0).contains(&step) => Ok(step),
        _ => {
            Err("Write what it shows in steps of, from 0.001 g to 1 kg, such as 0.1 g.".to_owned())
        }
    }
}

fn most_of_scale(text: &str) -> Result<f64, String> {
    match grams(text)? {
        most if (1.0..=1_000_000.0).contains(&most) => Ok(most),
        _ => Err("Write the most that it weighs, such as 5 kg.".to_owned()),
    }
}

/// What is known of the instrument, or the form with its faults.
pub fn read(
    posted: &Posted,
    kind: Kind,
    units: Units,
    today: NaiveDate,
) -> Result<Result<Described, FormState>, Error> {
    let mut form = Reading::of(posted, units);
    let name = form.wanted(
        "name",
        NAME_LONGEST,
        "Give it a name that tells it from your others, such as “long glass one”.",
    )?;
    let what = match kind {
        Kind::Hydrometer => hydrometer(&mut form)?.map(What::Hydrometer),
        Kind::Scale => scale(&mut form)?.map(What::Scale),
        Kind::PhMeter => ph_meter(&mut form, units, today)?,
        Kind::Thermometer => thermometer(&mut form)?,
    };
    let notes = form.short("notes", NOTES_LONGEST)?;
    let typed = form.kept(&KEPT)?;
    Ok(match (what, form.state) {
        (Some(what), state) if state.is_sound() => Ok(Described {
            name,
            what,
            notes,
            typed,
        }),
        (_, state) => Err(state),
    })
}

fn hydrometer(form: &mut Reading<'_>) -> Result<Option<Hydrometer>, Error> {
    let in_water_sg = match form.text("in_water")? {
        "" => Some(1.0),
        _ => form.quantity("in_water", |text, _| in_water(text))?,
    };
    let marked_for = form.quantity("marked_for", parse_temperature)?;
    let step = form.quantity("step", |text, _| gravity_step(text))?;
    if form.text("marked_for")?.is_empty() {
        form.refuse(
            "marked_for",
            "Write the temperature that stands on it; most say 20 °C, older ones 15 or 15.6 °C.",
        );
    }
    if form.text("step")?.is_empty() {
        form.refuse("step", "Write one step of its scale, such as 0.002.");
    }
    if marked_for.is_some_and(|t| !(0.0..=40.0).contains(&t)) {
        form.refuse(
            "marked_for",
            "A hydrometer is marked for a temperature between 0 and 40 °C (32 and 104 °F).",
        );
    }
    Ok(match (in_water_sg, marked_for, step) {
        (Some(in_water_sg), Some(marked_for_c), Some(step_sg)) => Some(Hydrometer {
            in_water_sg,
            marked_for_c,
            step_sg,
        }),
        _ => None,
    })
}

fn scale(form: &mut Reading<'_>) -> Result<Option<KitchenScale>, Error> {
    for (field, why) in [
        ("step", "Write what it shows in steps of, such as 1 g."),
        ("most", "Write the most that it weighs, such as 5 kg."),
    ] {
        if form.text(field)?.is_empty() {
            form.refuse(field, why);
        }
    }
    let step = form.quantity("step", |text, _| step_of_scale(text))?;
    let most = form.quantity("most", |text, _| most_of_scale(text))?;
    if let (Some(step), Some(most)) = (step, most)
        && step >= most
    {
        form.refuse("most", "It weighs more than one of its steps.");
    }
    Ok(step
        .zip(most)
        .map(|(step_g, most_g)| KitchenScale { step_g, most_g }))
}

fn ph_meter(form: &mut Reading<'_>, units: Units, today: NaiveDate) -> Result<Option<What>, Error> {
    let text = form.text("calibrated")?;
    let calibrated_on = match text {
        "" => None,
        text => match day_that_was(text, today, units) {
            Some(day) => Some(day),
            None => {
                form.refuse(
                    "calibrated",
                    "Write the day on which it was calibrated, such as 2026-11-28 or today; it cannot be still to come.",
                );
                None
            }
        },
    };
    let step = form.quantity("step", |text, _| {
        let step = parse_number(text).map_err(|fault| fault.to_string())?;
        match (0.001..=1.0).contains(&step) {
            true => Ok(step),
            false => {
                Err("Write what it shows in steps of, from 0.001 to 1, such as 0.01.".to_owned())
            }
        }
    })?;
    Ok(Some(What::PhMeter {
        calibrated_on,
        step,
    }))
}

/// A day up to today.
fn day_that_was(text: &str, today: NaiveDate, units: Units) -> Option<NaiveDate> {
    day::read_past(text, today, units).filter(|day| *day <= today)
}

fn thermometer(form: &mut Reading<'_>) -> Result<Option<What>, Error> {
    if form.text("in_ice")?.is_empty() {
        form.refuse("in_ice", "Write what it shows in a glass of melting ice.");
    }
    let in_ice = form.quantity("in_ice", parse_temperature)?;
    if in_ice.is_some_and(|t| !(-10.0..=10.0).contains(&t)) {
        form.refuse(
            "in_ice",
            "In melting ice it shows about 0 °C (32 °F); one that is further off than 10 °C is broken.",
        );
        return Ok(None);
    }
    Ok(in_ice.map(|in_ice_c| What::Thermometer { in_ice_c }))
}

/// The form of an instrument as it is.
pub fn filled(is: &Described, units: Units) -> FormState {
    let mut form = FormState::new();
    form.set("name", is.name.as_str());
    form.set("notes", is.notes.as_str());
    match is.what {
        What::Hydrometer(it) => {
            let sg = |field, value, read: fn(&str) -> Option<f64>| {
                let read = |text: &str| read(text).ok_or(());
                as_typed(&is.typed, field, value, read, |sg| units::plain(sg, 6))
            };
            form.set(
                "in_water",
                sg("in_water", it.in_water_sg, |text| in_water(text).ok()),
            );
            form.set(
                "step",
                sg("step", it.step_sg, |text| gravity_step(text).ok()),
            );
            form.set(
                "marked_for",
                temperature(is, "marked_for", it.marked_for_c, units),
            );
        }
        What::Scale(it) => {
            let mass = |field, grams: f64, read: fn(&str) -> Result<f64, String>| {
                as_typed(&is.typed, field, grams, read, |grams| {
                    match grams < 1000.0 {
                        true => format!("{} g", units::plain(grams, 6)),
                        false => format!("{} kg", units::plain(grams / 1000.0, 6)),
                    }
                })
            };
            form.set("step", mass("step", it.step_g, step_of_scale));
            form.set("most", mass("most", it.most_g, most_of_scale));
        }
        What::PhMeter {
            calibrated_on,
            step,
        } => {
            if let Some(day) = calibrated_on {
                form.set("calibrated", day.to_string());
            }
            if let Some(step) = step {
                form.set("step", units::plain(step, 4));
            }
        }
        What::Thermometer { in_ice_c } => {
            form.set("in_ice", temperature(is, "in_ice", in_ice_c, units));
        }
    }
    form
}

fn temperature(is: &Described, field: &str, celsius: f64, units: Units) -> String {
    as_typed(
        &is.typed,
        field,
        celsius,
        |text| parse_temperature(text, units),
        |celsius| units::temperature_text(celsius, units),
    )
}

/// The form of an instrument of which nothing is said yet.
pub fn fresh(kind: Kind, units: Units) -> FormState {
    let mut form = FormState::new();
    if kind == Kind::Hydrometer {
        form.set("marked_for", units::temperature_text(20.0, units));
        form.set("in_water", "1.000");
    }
    form
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_is_read_as_people_tell_it() {
        for (text, step) in [
            ("0.002", 0.002),
            ("0,001", 0.001),
            ("2", 0.002),
            ("1 point", 0.001),
        ] {
            let read = gravity_step(text).unwrap();
            assert!((read - step).abs() < 1e-12, "{text}");
        }
        for text in ["", "fine", "0.1", "20", "-0.001"] {
            assert!(gravity_step(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_calibration_has_been() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let today = day("2026-11-28");
        for (text, wanted) in [
            ("today", Some(today)),
            ("2026-11-01", Some(day("2026-11-01"))),
            ("1 December", Some(day("2025-12-01"))),
            ("2026-12-01", None),
            ("tomorrow", None),
            ("soon", None),
        ] {
            assert_eq!(day_that_was(text, today, Units::Metric), wanted, "{text}");
        }
    }
}
