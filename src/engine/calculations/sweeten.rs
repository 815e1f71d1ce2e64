//! Sweeten: how much of a sweetener raises a finished, stabilised mead to a gravity.

use super::{Calculation, Input, Key, Output};
use crate::engine::balance::{Liquid, sweeten_to};
use crate::engine::check::{ABV_PERCENT, FINAL_SG, Range, VOLUME_L};
use crate::engine::problem::{Arguments, ProblemCode};

/// `litres` of mead at `fg` and `abv_percent`, of whose solids `residual_sugar_g_per_l` is sugar, and a sweetener of that
/// `composition`: the kilograms that make `target_sg`, and the mead afterwards. Nothing ferments. The mead's solids follow
/// from its gravity and strength (Tabarié, OIV-MA-AS2-03B).
pub(super) const CALCULATION: Calculation = Calculation {
    name: "sweeten",
    inputs: &[
        Key::required("litres"),
        Key::required("fg"),
        Key::required("abv_percent"),
        Key::required("target_sg"),
        Key::required("composition"),
        Key::or("residual_sugar_g_per_l", 0.0),
    ],
    outputs: &["kg", "litres", "sg", "abv_percent", "sugar_g_per_l"],
    make,
};

const ABV: Range = Range {
    low: 0.0,
    ..ABV_PERCENT
};
const SUGAR_G_PER_L: Range = Range {
    low: 0.0,
    high: 1_200.0,
};
/// Gravities nearer than this are one gravity.
const SAME_SG: f64 = 1e-9;

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let fg = input.number("fg", FINAL_SG);
    let abv = input.number("abv_percent", ABV);
    let target = input.number("target_sg", FINAL_SG);
    let composition = input.composition("composition");
    let sugar = input.number("residual_sugar_g_per_l", SUGAR_G_PER_L);
    let (litres, fg, abv, target) = (litres?, fg?, abv?, target?);
    let (composition, sugar) = (composition?, sugar?);

    let Some(mead) = Liquid::of_reading(litres, fg, abv) else {
        return input.problem(ProblemCode::OutsideTheModel, "/fg", Arguments::none());
    };
    let solids = 1000.0 * mead.extract_kg / litres;
    if sugar > solids {
        let range = Range {
            high: solids,
            ..SUGAR_G_PER_L
        };
        return input.out_of_range("residual_sugar_g_per_l", sugar, range);
    }
    let sugar_kg = sugar * litres / 1000.0;
    let mead = Liquid {
        sugar_kg,
        extract_kg: mead.extract_kg - sugar_kg,
        ..mead
    };
    let sweetener = Liquid {
        water_kg: composition.water,
        sugar_kg: composition.fermentable,
        extract_kg: composition.unfermentable,
        ethanol_kg: 0.0,
    };
    let kg = if (target - fg).abs() <= SAME_SG {
        0.0
    } else if target < fg {
        let arguments = Arguments::none()
            .with("wanted_sg", target)
            .with("natural_fg", fg);
        return input.problem(ProblemCode::AlreadySweeter, "/target_sg", arguments);
    } else {
        match sweeten_to(&mead, &sweetener, target) {
            Some(kg) => kg,
            None => {
                let arguments = Arguments::none().with("wanted_sg", target);
                return input.problem(ProblemCode::SweetenerTooWeak, "/target_sg", arguments);
            }
        }
    };
    let end = mead + sweetener * kg;
    let state = end.state();
    Some(vec![
        kg.into(),
        state.volume_l.into(),
        state.sg.into(),
        state.abv_percent.into(),
        (1000.0 * end.sugar_kg / state.volume_l).into(),
    ])
}
