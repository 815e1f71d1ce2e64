//! The finished mead: strength, gravity, sugar left.

use super::start::strongest;
use super::{Material, MethodText, Shown, gravity, inputs, mass, strength as percent, volume};
use crate::engine::balance::{CO2_PER_ETHANOL, ETHANOL_PER_SUGAR};
use crate::engine::formulation::StoppedBy;
use crate::engine::recipe::{Finish, When};
use crate::web::units;

/// What holds for all that comes out of the balance of fermentation.
const BALANCE: &str = "Yield: 16.83 g of sugar per litre for 1 % of alcohol, as in the must tables of OIV and EU, from memory. What goes off as gas and yeast: Balling, read in a university's course sheet. Alcohol and water: OIML R 22 (1975), in public transcriptions. Both added: OIV-MA-AS2-03B. Sugar solutions: ICUMSA SPS-4 (1994).";

pub(super) const STRENGTH: MethodText = MethodText {
    slug: "strength",
    title: "Strength",
    sentence: "Each kilogram of sugar makes 0.469 kg of alcohol, 0.449 kg of gas, 0.052 kg of yeast, and 0.031 kg that stays dissolved. Volume, strength and gravity of the finished mead follow from the masses together; sweetening and later fruit thin the alcohol.",
    formula: &[
        "alcohol in kg = 0.46895 × sugar fermented in kg",
        "mass = volume × 0.998203 × (gravity of alcohol and water + gravity of what is dissolved − 1), which gives the volume",
        "strength = alcohol in kg ÷ (volume in L × 0.789239)",
    ],
    source: BALANCE,
    range: "Fermentations that end; the model was held against published tables for starts of 1.030 to 1.160.",
    leaves_out: "Sucrose is counted as weighed: yeast splits it and takes up water with it, which makes 5 % more sugar of that part, so a must of table sugar or ripe juice ends a little stronger than this. The real yield lies between 0.46 and 0.48. A yeast's limit is known to about 1.5 % of alcohol. Alcohol that goes off with the gas and in the open barrel.",
};

pub(super) const END: MethodText = MethodText {
    slug: "end",
    title: "Gravity at the end",
    sentence: "The mass of the finished mead over its volume, against water. Alcohol is lighter than water and sugar heavier, so a dry mead reads below 1.000.",
    formula: &[
        "gravity = mass of the finished mead ÷ (its volume × 0.998203)",
        "mass = what went in − gas − yeast that settles",
    ],
    source: BALANCE,
    range: "20 °C, without gas in the sample. A refractometer does not read this once it ferments.",
    leaves_out: "Up to 0.005 above this a mead may still be sound and finished: by-products, acids and minerals differ. Browned honey leaves more than reckoned. Gas lifts the hydrometer by several thousandths.",
};

pub(super) const NATURAL_END: MethodText = MethodText {
    slug: "ends-by-itself",
    title: "Where it ends by itself",
    sentence: "The first fermentation goes on until the sugar is gone or the yeast reaches its limit, whichever comes first. This is its gravity then, before anything sweetens it.",
    formula: &[
        "sugar fermented = all of it, or so much that the strength is the yeast's limit, if that is less",
        "gravity = mass left ÷ (volume left × 0.998203)",
    ],
    source: BALANCE,
    range: "A well-fed yeast at its temperature.",
    leaves_out: "A fermentation that sticks. The share of honey that does not ferment differs from jar to jar: between 0.85 and 0.95 of what is dissolved does, 0.89 is counted as a rule (our judgement, no published source), which is 0.003 to 0.004 of gravity to either side.",
};

pub(super) const SWEETNESS: MethodText = MethodText {
    slug: "sweetness",
    title: "Sugar left",
    sentence: "Sugar that the yeast did not take, and what was added to sweeten, over the volume of the finished mead.",
    formula: &[
        "sugar left = (sugar that went in − sugar fermented + sugar that sweetens) ÷ volume at the end",
    ],
    source: BALANCE,
    range: "Sugar that can ferment; sweeteners that do not ferment are not in it.",
    leaves_out: "How sweet it tastes: acid, tannin, bubbles and cold hide sweetness, alcohol and glycerol add to it. What does not ferment is a little sweet too and is counted with what is dissolved, not here.",
};

pub(super) fn strength(material: &Material<'_>) -> Option<Shown> {
    let finished = material.numbers.finished.as_ref()?;
    let whole = material.numbers.whole.as_ref()?;
    let units = material.units();
    let alcohol = finished.co2_kg / CO2_PER_ETHANOL;
    let mut list = inputs([
        (
            "sugar that can ferment at first",
            mass(whole.sugar_g_per_l * whole.volume_l / 1000.0, units),
        ),
        (
            "sugar fermented, with what joins later",
            mass(alcohol / ETHANOL_PER_SUGAR, units),
        ),
        ("alcohol made", mass(alcohol, units)),
        ("volume at the end", volume(finished.volume_l, units)),
        (
            "strength before sweetening",
            percent(finished.abv_before_sweetening_percent),
        ),
        ("strength", percent(finished.abv_percent)),
        ("by weight", percent(finished.abw_percent)),
    ]);
    if let Some((name, limit)) = strongest(material) {
        list.push((
            "the yeast bears".to_owned(),
            format!("{}, {name}", percent(limit)),
        ));
    }
    Some(Shown {
        value: super::super::strength(finished.abv_percent),
        inputs: list,
    })
}

pub(super) fn end(material: &Material<'_>) -> Option<Shown> {
    let finished = material.numbers.finished.as_ref()?;
    let whole = material.numbers.whole.as_ref()?;
    let units = material.units();
    let mut list = inputs([
        ("mass of the must", mass(whole.mass_kg, units)),
        ("gas given off", mass(finished.co2_kg, units)),
        (
            "yeast grown, left in the lees",
            mass(finished.lees_kg, units),
        ),
    ]);
    let later = material
        .numbers
        .ingredients
        .iter()
        .filter(|line| matches!(line.when, When::Secondary | When::Sweeten | When::Ageing));
    let joined: f64 = later
        .filter_map(|line| Some(line.kg? * super::added::liquid(material, line.index)))
        .sum();
    if joined > 0.0 {
        list.push(("what joins later".to_owned(), mass(joined, units)));
    }
    let end_mass = finished.volume_l * finished.fg * super::WATER_KG_PER_L;
    list.extend(inputs([
        ("mass of the finished mead", mass(end_mass, units)),
        ("its volume", volume(finished.volume_l, units)),
        ("gravity", gravity(finished.fg)),
        (
            "how far the gravity fell at first",
            format!("{} %", units::fixed(finished.attenuation_percent, 1)),
        ),
    ]));
    Some(Shown {
        value: units::gravity(finished.fg),
        inputs: list,
    })
}

pub(super) fn natural_end(material: &Material<'_>) -> Option<Shown> {
    let finished = material.numbers.finished.as_ref()?;
    let whole = material.numbers.whole.as_ref()?;
    let limits = material.numbers.limits.as_ref()?;
    let why = match limits.stopped_by {
        StoppedBy::Sugar => "the sugar is gone first",
        StoppedBy::Tolerance => "the yeast reaches its limit first",
    };
    let mut list = inputs([
        ("start", gravity(whole.og)),
        (
            "sugar that can ferment",
            units::grams_per_litre(whole.sugar_g_per_l),
        ),
        (
            "dissolved in all",
            units::grams_per_litre(whole.extract_g_per_l),
        ),
        ("what ends it", why.to_owned()),
    ]);
    if let Some((name, limit)) = strongest(material) {
        list.push((
            "the yeast bears".to_owned(),
            format!("{}, {name}", percent(limit)),
        ));
    }
    list.push(("gravity".to_owned(), gravity(finished.natural_fg)));
    Some(Shown {
        value: units::gravity(finished.natural_fg),
        inputs: list,
    })
}

pub(super) fn sweetness(material: &Material<'_>) -> Option<Shown> {
    let finished = material.numbers.finished.as_ref()?;
    let units = material.units();
    let alcohol = finished.co2_kg / CO2_PER_ETHANOL;
    let lines = material.numbers.ingredients.iter();
    let (mut before, mut sweetens) = (0.0, 0.0);
    for line in lines {
        let sugar = line.sugar_kg.unwrap_or_default();
        match line.when {
            When::Sweeten => sweetens += sugar,
            _ => before += sugar,
        }
    }
    let mut list = inputs([
        ("sugar that went in", mass(before, units)),
        ("sugar fermented", mass(alcohol / ETHANOL_PER_SUGAR, units)),
        ("sugar that sweetens", mass(sweetens, units)),
        ("volume at the end", volume(finished.volume_l, units)),
        (
            "sugar left",
            units::grams_per_litre(finished.residual_sugar_g_per_l),
        ),
        (
            "everything dissolved",
            units::grams_per_litre(finished.extract_g_per_l),
        ),
    ]);
    if let Finish::SweetenTo(sg) = material.recipe.finish {
        list.push(("gravity wanted".to_owned(), gravity(sg)));
    }
    Some(Shown {
        value: units::grams_per_litre(finished.residual_sugar_g_per_l),
        inputs: list,
    })
}
