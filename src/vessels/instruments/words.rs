//! An instrument in words.

use chrono::NaiveDate;

use super::{CALIBRATION_DAYS, Owned, What, calibration_due};
use crate::vessels::paths;
use crate::web::paths::Base;
use crate::web::units::{self, Units};

/// An instrument as the list has it.
pub struct Line {
    pub url: String,
    pub name: String,
    pub words: &'static str,
    pub figures: Vec<String>,
    /// What is to be done before it is believed again.
    pub due: String,
    pub notes: String,
    /// Where the button leads, and its words.
    pub button: (String, &'static str),
}

/// An instrument in words, on that day.
pub fn line(base: &Base, it: &Owned, units: Units, today: NaiveDate) -> Line {
    let id = it.public_id.as_str();
    let (route, words) = match it.retired {
        false => (paths::RETIRE_INSTRUMENT, "Put away"),
        true => (paths::BRING_BACK_INSTRUMENT, "Take out again"),
    };
    Line {
        url: base.link(&paths::EDIT_INSTRUMENT.with(&[id])),
        name: it.is.name.clone(),
        words: it.is.what.kind().words(),
        figures: figures(&it.is.what, units),
        due: match it.is.what {
            What::PhMeter { calibrated_on, .. } => due(calibrated_on, today),
            _ => String::new(),
        },
        notes: it.is.notes.clone(),
        button: (base.link(&route.with(&[id])), words),
    }
}

fn figures(what: &What, units: Units) -> Vec<String> {
    match what {
        What::Hydrometer(it) => {
            let wrong = (it.in_water_sg - 1.0) * 1000.0;
            let told = match wrong {
                wrong if wrong.abs() < 0.05 => "shows 1.000 in water, as it should".to_owned(),
                wrong => format!(
                    "shows {} in water: {} is {} every reading",
                    units::gravity(it.in_water_sg),
                    units::fixed(wrong.abs() / 1000.0, 3),
                    if wrong > 0.0 { "taken off" } else { "added to" }
                ),
            };
            vec![
                told,
                format!("marked for {}", units::temperature(it.marked_for_c, units)),
                format!("steps of {}", units::plain(it.step_sg, 4)),
            ]
        }
        What::PhMeter {
            calibrated_on,
            step,
        } => {
            let day = calibrated_on.map(|day| format!("calibrated on {}", day.format("%-d %B %Y")));
            let step = step.map(|step| format!("steps of {}", units::plain(step, 3)));
            day.into_iter().chain(step).collect()
        }
        What::Scale(it) => vec![
            format!("steps of {}", grams(it.step_g)),
            format!("up to {}", grams(it.most_g)),
        ],
        What::Thermometer { in_ice_c } => match in_ice_c {
            celsius if celsius.abs() < 0.05 => vec!["right in melting ice".to_owned()],
            celsius => vec![format!(
                "shows {} in melting ice",
                units::temperature(*celsius, units)
            )],
        },
    }
}

/// "0.1 g", "5 kg".
pub fn grams(grams: f64) -> String {
    units::grams(grams, 3)
}

fn due(calibrated_on: Option<NaiveDate>, today: NaiveDate) -> String {
    let mark = "our judgement, no published source";
    match calibration_due(calibrated_on, today) {
        None => String::new(),
        Some(None) => "Not calibrated yet: two buffers, pH 4 and 7, before the first reading that decides anything.".to_owned(),
        Some(Some(days)) => format!(
            "Calibrated {days} days ago: calibrate it again before a reading that decides anything. After {CALIBRATION_DAYS} days it is not to be believed ({mark})."
        ),
    }
}
