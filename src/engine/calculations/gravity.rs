//! Gravity: SG, mass % and density of a sugar solution from any one of them.

use super::{Calculation, Input, Key, Output};
use crate::engine::alcohol::potential_abv;
use crate::engine::check::Range;
use crate::engine::density::{WATER_20, fraction_of_sg, sucrose_density_20};
use crate::engine::problem::{Arguments, ProblemCode};
use crate::engine::units::{Abv, SpecificGravity};

/// One of `sg` (20/20, 1 to 1.449), `brix` (mass %, 0 to 85), `density_kg_per_m3` (at 20 °C) gives all three, the g/L of
/// extract, and the % by volume if all of it fermented. ICUMSA SPS-4 and the balance of the model.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "gravity",
    inputs: &[
        Key::optional("sg"),
        Key::optional("brix"),
        Key::optional("density_kg_per_m3"),
    ],
    outputs: &[
        "sg",
        "brix",
        "density_kg_per_m3",
        "extract_g_per_l",
        "potential_abv_percent",
    ],
    make,
};

/// Strongest solution the relations describe, mass fraction.
const STRONGEST: f64 = 0.85;

fn make(input: &mut Input<'_>) -> Option<Output> {
    let keys = ["sg", "brix", "density_kg_per_m3"];
    let given: Vec<&str> = keys.into_iter().filter(|key| input.has(key)).collect();
    let [key] = given.as_slice() else {
        let arguments = Arguments::none().with("keys", "sg, brix, density_kg_per_m3");
        return input.problem(ProblemCode::OneOf, "", arguments);
    };
    let densest = sucrose_density_20(STRONGEST);
    let range = match *key {
        "sg" => Range {
            low: 1.0,
            high: densest / WATER_20,
        },
        "brix" => Range {
            low: 0.0,
            high: 100.0 * STRONGEST,
        },
        _ => Range {
            low: WATER_20,
            high: densest,
        },
    };
    let value = input.number(key, range)?;
    let w = match *key {
        "sg" => fraction_of_sg(value)?,
        "brix" => value / 100.0,
        _ => fraction_of_sg((value / WATER_20).max(1.0))?,
    };
    let density = sucrose_density_20(w);
    let sg = density / WATER_20;
    Some(vec![
        sg.into(),
        (100.0 * w).into(),
        density.into(),
        (w * density).into(),
        SpecificGravity::new(sg)
            .and_then(potential_abv)
            .map(Abv::get)
            .into(),
    ])
}
