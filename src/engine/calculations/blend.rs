//! Blend: meads, musts, spirits and water mixed.

use super::{Calculation, Input, Key, Output};
use crate::engine::balance::Liquid;
use crate::engine::blend::{Source, poured};
use crate::engine::check::{Range, VOLUME_L};
use crate::engine::problem::{Arguments, ProblemCode};

/// `parts`, each `litres` at `sg` with `abv_percent` and `ta_g_per_l`, poured together at 20 °C: masses add, the volume
/// follows from the density (ICUMSA SPS-4, OIML R 22, Tabarié's additivity), and `volume_change_l` is what it gains or, below
/// 0, loses. Acidity is null where a part's is not given, water's (SG 1, no alcohol) being 0.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "blend",
    inputs: &[Key::required("parts")],
    outputs: &[
        "litres",
        "sg",
        "abv_percent",
        "ta_g_per_l",
        "volume_change_l",
    ],
    make,
};

const PART: &[Key] = &[
    Key::required("litres"),
    Key::required("sg"),
    Key::or("abv_percent", 0.0),
    Key::optional("ta_g_per_l"),
];
/// More parts than anybody pours together.
const MOST_PARTS: usize = 50;

/// From pure ethanol to the strongest sugar solution that the relations describe.
const SG: Range = Range {
    low: 0.79,
    high: 1.449,
};
const ABV: Range = Range {
    low: 0.0,
    high: 100.0,
};
const TA_G_PER_L: Range = Range {
    low: 0.0,
    high: 100.0,
};

fn part(input: &mut Input<'_>) -> Option<Source> {
    let litres = input.number("litres", VOLUME_L);
    let sg = input.number("sg", SG);
    let abv = input.number("abv_percent", ABV);
    let given = input.has("ta_g_per_l");
    let ta = input.number("ta_g_per_l", TA_G_PER_L);
    let (litres, sg, abv) = (litres?, sg?, abv?);
    let ta_g_per_l = if given {
        Some(ta?)
    } else {
        (sg == 1.0 && abv == 0.0).then_some(0.0)
    };
    let Some(liquid) = Liquid::of_reading(litres, sg, abv) else {
        let place = input.place("sg");
        return input.problem(ProblemCode::OutsideTheModel, &place, Arguments::none());
    };
    Some(Source {
        litres,
        per_litre: liquid * (1.0 / litres),
        ta_g_per_l,
    })
}

fn make(input: &mut Input<'_>) -> Option<Output> {
    let parts = input.each("parts", PART, MOST_PARTS, part)?;
    let all: Vec<(Source, f64)> = parts.into_iter().map(|part| (part, part.litres)).collect();
    let blended = poured(&all);
    Some(vec![
        blended.litres.into(),
        blended.sg.into(),
        blended.abv_percent.into(),
        blended.ta_g_per_l.into(),
        blended.volume_change_l.into(),
    ])
}
