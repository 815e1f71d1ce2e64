//! Give or take: how far strength and gravities may lie from what is reckoned.

use super::start::strongest;
use super::{Inputs, Material, MethodText, Shown, gravity, strength};
use crate::web::units;

/// One standard deviation of a yeast's limit, % ABV, as the engine reckons with it.
const TOLERANCE_SD_ABV: f64 = 0.75;

pub(super) const SPREAD: MethodText = MethodText {
    slug: "give-or-take",
    title: "Give or take",
    sentence: "Honey, fruit and yeast are known within limits only. In four of five meads of this recipe strength and gravities lie between these two.",
    formula: &[
        "each thing that is not known is moved by 1.28 standard deviations, alone, and the mead reckoned anew",
        "give or take = square root of the sum of the squares of what that moves",
    ],
    source: "First-order propagation of errors, arithmetic. Spread of honey's water: White and others 1962, read in secondary tables. Share that ferments, and the yeast's limit, give or take 1.5 %: common practice, no published source.",
    range: "Small spreads. Amounts stay as weighed; ingredients vary by themselves.",
    leaves_out: "Scale, jug and hydrometer; a yeast that sticks; spreads that nobody wrote down. What two things do only together.",
};

/// The strength from low to high: "11.4 to 12.5 %".
fn range_of_strength([low, high]: [f64; 2]) -> String {
    format!("{} to {} %", units::fixed(low, 1), units::fixed(high, 1))
}

pub(super) fn spread(material: &Material<'_>) -> Option<Shown> {
    let spread = material.numbers.spread.as_ref()?;
    let deviation = |value: Option<f64>| value.filter(|sd| *sd > 0.0);
    let percent = |sd: f64| format!("{} %", units::plain(sd * 100.0, 2));
    let mut list: Inputs = Vec::new();
    for item in &material.recipe.ingredients {
        let Some(own) = item.composition.as_ref().and_then(|parts| parts.spread) else {
            continue;
        };
        if let Some(sd) = deviation(own.water) {
            list.push((
                format!("{}: water, one standard deviation", item.name),
                percent(sd),
            ));
        }
        if let Some(sd) = deviation(own.fermentable) {
            list.push((
                format!("{}: sugar, one standard deviation", item.name),
                percent(sd),
            ));
        }
    }
    if let Some((name, limit)) = strongest(material) {
        list.push((
            format!("{name}: limit, one standard deviation"),
            format!("{} around {}", strength(TOLERANCE_SD_ABV), strength(limit)),
        ));
    }
    let from_to = |[low, high]: [f64; 2]| format!("{} to {}", gravity(low), gravity(high));
    list.push(("strength".to_owned(), range_of_strength(spread.abv_percent)));
    list.push(("gravity at the start".to_owned(), from_to(spread.og)));
    list.push(("gravity at the end".to_owned(), from_to(spread.fg)));
    Some(Shown {
        value: range_of_strength(spread.abv_percent),
        inputs: list,
    })
}
