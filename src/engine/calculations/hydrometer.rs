//! Hydrometer: a reading corrected for temperature.

use super::{Calculation, Input, Key, Output};
use crate::engine::check::Range;
use crate::engine::hydrometer::correct_reading;
use crate::engine::problem::{Arguments, ProblemCode};
use crate::engine::units::{Abv, Celsius, SpecificGravity};

/// `reading_sg` at `temperature_c` on an instrument marked for `calibration_c` gives the SG at that mark; `abv_percent` for a
/// fermented liquid. Both temperatures 0 to 80 °C, 0 to 40 with alcohol. Buoyancy, ICUMSA SPS-4 and OIML R 22.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "hydrometer",
    inputs: &[
        Key::required("reading_sg"),
        Key::required("temperature_c"),
        Key::or("calibration_c", 20.0),
        Key::or("abv_percent", 0.0),
    ],
    outputs: &["sg"],
    make,
};

const READING: Range = Range {
    low: 0.7,
    high: 1.5,
};
const ABV: Range = Range {
    low: 0.0,
    high: 100.0,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let reading = input.number("reading_sg", READING);
    let abv = input.number("abv_percent", ABV);
    let celsius = Range {
        low: 0.0,
        high: if abv.is_some_and(|abv| abv > 0.0) {
            40.0
        } else {
            80.0
        },
    };
    let temperature = input.number("temperature_c", celsius);
    let calibration = input.number("calibration_c", celsius);
    let (reading, abv) = (SpecificGravity::new(reading?), Abv::new(abv?));
    let (temperature, calibration) = (Celsius::new(temperature?), Celsius::new(calibration?));
    let corrected = match (reading, temperature, calibration, abv) {
        (Some(reading), Some(at), Some(calibration), Some(abv)) => {
            correct_reading(reading, at, calibration, abv)
        }
        _ => None,
    };
    match corrected {
        Some(sg) => Some(vec![sg.get().into()]),
        None => input.problem(
            ProblemCode::OutsideTheModel,
            "/reading_sg",
            Arguments::none(),
        ),
    }
}
