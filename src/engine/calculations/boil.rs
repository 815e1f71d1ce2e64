//! Boil: a must that loses water.

use super::{Calculation, Input, Key, Output};
use crate::engine::balance::Liquid;
use crate::engine::check::{MASS_KG, Range};
use crate::engine::density::LARGEST_FRACTION;

/// `kg` of must of that `brix` lose `water_lost_kg` of water and nothing else: what is left, at 20 °C. ICUMSA SPS-4.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "boil",
    inputs: &[
        Key::required("kg"),
        Key::required("brix"),
        Key::required("water_lost_kg"),
    ],
    outputs: &["kg", "brix", "sg", "litres"],
    make,
};

const KG: Range = Range {
    low: 0.001,
    ..MASS_KG
};
const BRIX: Range = Range {
    low: 0.0,
    high: 100.0 * LARGEST_FRACTION,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let kg = input.number("kg", KG);
    let brix = input.number("brix", BRIX);
    let most = match (kg, brix) {
        // So much that what is left is as strong as the relations reach; of plain water a hundredth stays.
        (Some(kg), Some(brix)) => {
            kg - (kg * brix / 100.0 / LARGEST_FRACTION)
                .max(kg / 100.0)
                .min(kg)
        }
        _ => MASS_KG.high,
    };
    let lost = input.number(
        "water_lost_kg",
        Range {
            low: 0.0,
            high: most,
        },
    );
    let (kg, brix, lost) = (kg?, brix?, lost?);
    let sugar_kg = kg * brix / 100.0;
    let left = Liquid {
        water_kg: kg - sugar_kg - lost,
        sugar_kg,
        ..Liquid::default()
    };
    let state = left.state();
    let mass = left.mass_kg();
    Some(vec![
        mass.into(),
        (100.0 * sugar_kg / mass).into(),
        state.sg.into(),
        state.volume_l.into(),
    ])
}
