//! Water, the mark to fill to, and what rounding does.

use super::added::liquid;
use super::{Material, MethodText, Shown, density, gravity, inputs, mass, strength, volume};
use crate::engine::recipe::When;
use crate::web::units;

pub(super) const WATER: MethodText = MethodText {
    slug: "water",
    title: "Water",
    sentence: "Water fills the must up to its volume. It is found by weight: what the must weighs, less what everything else brings to it. Honey and water together take up less room than apart, so litres cannot simply be taken from litres.",
    formula: &[
        "water in kg = mass of the must − what the ingredients bring to the liquid",
        "water in L = water in kg ÷ 0.998203",
    ],
    source: "Density of water: Kell (1975) on ITS-90. Density of the must: ICUMSA SPS-4 (1994), read in two public transcriptions.",
    range: "Water of 20 °C. Where the ingredients fill more than the volume there is no room for water, and the recipe says so.",
    leaves_out: "Warm water is lighter: at 40 °C a litre weighs 0.6 % less, so fill up to the mark at 20 °C. Steam that goes off, and water that fruit and spices soak up.",
};

pub(super) const MARK: MethodText = MethodText {
    slug: "mark",
    title: "The mark to fill to",
    sentence: "Where the must stands in the vessel at 20 °C, once honey and water are one. Fruit that goes in later raises it: the mark is meant before that.",
    formula: &["volume = mass of the must ÷ its density"],
    source: "Density of the must: ICUMSA SPS-4 (1994), read in two public transcriptions.",
    range: "20 °C; liquid only.",
    leaves_out: "A must of 30 °C stands 0.3 % higher. Marks on buckets are often wrong by several percent: pour in measured water once, and mark it yourself (common practice, no published source). Pulp and other matter that does not dissolve stands on top.",
};

pub(super) const ROUNDING: MethodText = MethodText {
    slug: "rounding",
    title: "Rounding to what a scale shows",
    sentence: "Every weight is rounded to what a kitchen scale can show, the volume is filled up again with water, and the mead is reckoned anew from the rounded amounts.",
    formula: &[
        "under 10 g: to 0.1 g;  under 100 g: to 1 g;  under 1 kg: to 5 g;  under 10 kg: to 10 g;  above: to 50 g",
    ],
    source: "Our judgement of kitchen scales, no published source.",
    range: "Any amount; below a tenth of a gram a finer scale is needed.",
    leaves_out: "What your scale really shows: test it with a litre of water, which weighs 0.998 kg.",
};

pub(super) fn water(material: &Material<'_>) -> Option<Shown> {
    let units = material.units();
    let must = material.numbers.must.as_ref()?;
    let before = material.numbers.ingredients.iter();
    let brought: f64 = before
        .filter(|line| line.when == When::Must)
        .filter_map(|line| Some(line.kg? * liquid(material, line.index)))
        .sum();
    Some(Shown {
        value: match &material.recipe.filler {
            Some(_) => "none".to_owned(),
            None => units::volume(must.water_l, units),
        },
        inputs: inputs([
            ("volume to fill", volume(must.volume_l, units)),
            ("its density", density(must.og)),
            ("mass of the must", mass(must.mass_kg, units)),
            (
                "what the ingredients bring to the liquid",
                mass(brought, units),
            ),
            (
                "water",
                format!(
                    "{}, {}",
                    mass(must.water_l * super::WATER_KG_PER_L, units),
                    volume(must.water_l, units)
                ),
            ),
        ]),
    })
}

pub(super) fn mark(material: &Material<'_>) -> Option<Shown> {
    let units = material.units();
    let must = material.numbers.must.as_ref()?;
    let mut list = inputs([
        ("mass of the must", mass(must.mass_kg, units)),
        ("its density", density(must.og)),
        ("volume", volume(must.volume_l, units)),
    ]);
    let fit = material.numbers.vessel.as_ref();
    if let Some(fit) = fit.filter(|fit| fit.fruit_displacement_l > 0.0) {
        list.push((
            "what the fruit raises it by".to_owned(),
            volume(fit.fruit_displacement_l, units),
        ));
    }
    Some(Shown {
        value: units::volume(must.volume_l, units),
        inputs: list,
    })
}

pub(super) fn rounding(material: &Material<'_>) -> Option<Shown> {
    let (exact, weighed) = (material.exact, material.numbers);
    let from_to = |from: String, to: String| match from == to {
        true => format!("{from}, not moved"),
        false => format!("from {from} to {to}"),
    };
    let (solved, end) = (exact.whole.as_ref()?, exact.finished.as_ref()?);
    let (weighed_start, weighed_end) = (weighed.whole.as_ref()?, weighed.finished.as_ref()?);
    let changed = exact
        .ingredients
        .iter()
        .zip(&weighed.ingredients)
        .filter(|(exact, weighed)| exact.kg != weighed.kg)
        .count();
    Some(Shown {
        value: match changed {
            0 => "nothing rounded".to_owned(),
            1 => "one amount rounded".to_owned(),
            many => format!("{many} amounts rounded"),
        },
        inputs: inputs([
            (
                "strength",
                from_to(strength(end.abv_percent), strength(weighed_end.abv_percent)),
            ),
            (
                "gravity at the start",
                from_to(gravity(solved.og), gravity(weighed_start.og)),
            ),
            (
                "gravity at the end",
                from_to(gravity(end.fg), gravity(weighed_end.fg)),
            ),
        ]),
    })
}
