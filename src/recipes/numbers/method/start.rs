//! Gravities from the start to the end of the fall, and the gas that goes off on the way.

use super::amounts::whole;
use super::{Material, MethodText, Shown, gravity, inputs, mass, strength, volume};
use crate::engine::balance::{CO2_PER_ETHANOL, ETHANOL_PER_SUGAR};
use crate::engine::formulate::AMMONIUM_LIMIT_ABV;
use crate::engine::formulation::StoppedBy;
use crate::engine::recipe::{When, YeastWhen};
use crate::web::units;

/// Litres of carbon dioxide in a kilogram at 20 °C, as the engine counts them for its caution.
const GAS_L_PER_KG: f64 = 549.0;

const DENSITY: &str = "density = 998.203 + 385.176 w + 135.371 w² + 40.930 w³ − 3.964 w⁴ + 13.485 w⁵ − 17.289 w⁶ kg/m³ at 20 °C, w the share dissolved";

pub(super) const START: MethodText = MethodText {
    slug: "start",
    title: "Gravity at the start",
    sentence: "How much heavier than water the must is, with the sugar of everything that will ferment counted. It follows from the share of the must that is dissolved.",
    formula: &[
        "share dissolved = dissolved matter ÷ mass of the must",
        DENSITY,
        "gravity = density ÷ 998.203",
    ],
    source: "ICUMSA SPS-4 (1994), read in two public transcriptions. Water: Kell (1975) on ITS-90.",
    range: "Up to 85 % dissolved, at 20 °C. A hydrometer at another temperature reads otherwise.",
    leaves_out: "The relation is that of sucrose: honey of the same strength reads 0.0004 lower at 25 % and 0.0007 lower at 30 %. Sucrose is counted as weighed; split by the yeast it makes 5 % more sugar, which is not counted. A must that is not stirred through reads anything.",
};

pub(super) const READ: MethodText = MethodText {
    slug: "read-before-fruit",
    title: "What the hydrometer reads before the fruit",
    sentence: "Fruit that goes in while it ferments has not given its sugar yet when the must is read. This is the gravity of what is in the vessel then; all sugar counted it is the gravity at the start.",
    formula: &[
        "share dissolved = dissolved matter without the fruit ÷ mass of the must without the fruit",
        DENSITY,
        "gravity = density ÷ 998.203",
    ],
    source: "ICUMSA SPS-4 (1994), read in two public transcriptions. That fruit gives its sugar in 7 to 10 days: common practice, no published source.",
    range: "Before the fruit goes in, at 20 °C.",
    leaves_out: "The same as at the start. Whole skins give only half to two thirds of their sugar; frozen and thawed fruit nearly all.",
};

pub(super) const BREAK: MethodText = MethodText {
    slug: "one-third-gone",
    title: "Where one third is gone",
    sentence: "Where a third of the sugar that will ferment is gone: the yeast stops growing there, so it is the time of the last feed, and of the last air.",
    formula: &["gravity = start − (start − end by itself) ÷ 3"],
    source: "Common practice, no published source.",
    range: "Musts that ferment to an end of their own; for honey fed in steps it is counted on all of it and is never read.",
    leaves_out: "Gravity does not fall quite as sugar goes, for alcohol is lighter than water: less than a third of the sugar is gone here, by a hair. Gas in the sample lifts the hydrometer: stir it out first.",
};

pub(super) const AMMONIUM_ENDS: MethodText = MethodText {
    slug: "ammonium-ends",
    title: "Where ammonium is of no use",
    sentence: "From about 9 % of alcohol on, yeast takes up no more ammonium. This is the gravity at which the must has that strength.",
    formula: &[
        "gravity of the must when it holds 9 % alcohol, by the balance of fermentation",
        "feeds that hold ammonium stop here or where one third is gone, whichever comes first",
    ],
    source: "9 %: common practice (Bisson 1999 and others, from memory). Balance: as for the strength.",
    range: "Musts that reach 9 %.",
    leaves_out: "Yeasts differ, and hungry ones stop earlier.",
};

pub(super) const YEAST_LIMIT: MethodText = MethodText {
    slug: "yeast-limit",
    title: "The yeast's limit",
    sentence: "Sugar is left when the yeast reaches the alcohol that it bears. This is the gravity where that happens.",
    formula: &[
        "gravity of the must when its strength is the yeast's limit, by the balance of fermentation",
    ],
    source: "Limits of the classes: common practice, no published source, or as written in the recipe. Balance: as for the strength.",
    range: "Well-fed yeast at its temperature; the strongest of several yeasts counts.",
    leaves_out: "A limit is known to about 1.5 % of alcohol, which is 0.010 to 0.012 of gravity. A poorly fed yeast stops 2 to 4 % earlier.",
};

pub(super) const GAS: MethodText = MethodText {
    slug: "gas",
    title: "Gas given off",
    sentence: "About half of the sugar's weight goes off as carbon dioxide. It is heavier than air and gathers low.",
    formula: &[
        "gas in kg = 0.9565 × alcohol in kg;  alcohol = 0.46895 × sugar fermented",
        "gas in L = 549 × gas in kg, at 20 °C",
    ],
    source: "0.9565: Balling, read in a university's course sheet. Gas volume: real gas at 20 °C, worked out here.",
    range: "The whole fermentation, until it stands still.",
    leaves_out: "What stays dissolved, about 1.5 g/L. How fast it comes: most of it in the first ten days.",
};

pub(super) fn start(material: &Material<'_>) -> Option<Shown> {
    let start = material.numbers.whole.as_ref()?;
    let units = material.units();
    let mut list = whole(&Material {
        exact: material.numbers,
        ..*material
    });
    list.extend(inputs([
        ("mass of the must", mass(start.mass_kg, units)),
        (
            "dissolved in it",
            mass(start.mass_kg * start.brix / 100.0, units),
        ),
        (
            "of that, sugar that ferments",
            units::grams_per_litre(start.sugar_g_per_l),
        ),
    ]));
    Some(Shown {
        value: units::gravity(start.og),
        inputs: list,
    })
}

pub(super) fn read(material: &Material<'_>) -> Option<Shown> {
    let (must, whole) = (
        material.numbers.must.as_ref()?,
        material.numbers.whole.as_ref()?,
    );
    let with_fruit = material
        .numbers
        .ingredients
        .iter()
        .any(|line| line.when == When::Primary && line.kg.is_some_and(|kg| kg > 0.0));
    let units = material.units();
    with_fruit.then(|| Shown {
        value: units::gravity(must.og),
        inputs: inputs([
            ("mass without the fruit", mass(must.mass_kg, units)),
            (
                "dissolved in it",
                mass(must.mass_kg * must.brix / 100.0, units),
            ),
            (
                "share dissolved",
                format!("{} %", units::fixed(must.brix, 3)),
            ),
            ("volume without the fruit", volume(must.volume_l, units)),
            ("all sugar counted", gravity(whole.og)),
        ]),
    })
}

pub(super) fn one_third(material: &Material<'_>) -> Option<Shown> {
    let (whole, finished, ladder) = (
        material.numbers.whole.as_ref()?,
        material.numbers.finished.as_ref()?,
        material.numbers.ladder.as_ref()?,
    );
    Some(Shown {
        value: units::gravity(ladder.one_third_break_sg),
        inputs: inputs([
            ("start", gravity(whole.og)),
            ("end by itself", gravity(finished.natural_fg)),
            ("one third gone", gravity(ladder.one_third_break_sg)),
        ]),
    })
}

pub(super) fn ammonium_ends(material: &Material<'_>) -> Option<Shown> {
    let sg = material.numbers.ladder.as_ref()?.ammonium_limit_sg?;
    let whole = material.numbers.whole.as_ref()?;
    Some(Shown {
        value: units::gravity(sg),
        inputs: inputs([
            ("strength there", strength(AMMONIUM_LIMIT_ABV)),
            ("start", gravity(whole.og)),
            (
                "sugar that ferments",
                units::grams_per_litre(whole.sugar_g_per_l),
            ),
            ("gravity there", gravity(sg)),
        ]),
    })
}

/// The strongest of the yeasts that ferment the must.
pub(super) fn strongest<'a>(material: &Material<'a>) -> Option<(&'a str, f64)> {
    let fermenting = material
        .recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when != YeastWhen::Bottle);
    fermenting
        .map(|yeast| (yeast.name.as_str(), yeast.tolerance_abv_percent))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

pub(super) fn yeast_limit(material: &Material<'_>) -> Option<Shown> {
    let sg = material.numbers.ladder.as_ref()?.tolerance_sg?;
    let (name, limit) = strongest(material)?;
    let whole = material.numbers.whole.as_ref()?;
    Some(Shown {
        value: units::gravity(sg),
        inputs: inputs([
            ("yeast", name.to_owned()),
            ("its limit", strength(limit)),
            ("start", gravity(whole.og)),
            (
                "sugar that ferments",
                units::grams_per_litre(whole.sugar_g_per_l),
            ),
            ("gravity there", gravity(sg)),
        ]),
    })
}

pub(super) fn gas(material: &Material<'_>) -> Option<Shown> {
    let finished = material.numbers.finished.as_ref()?;
    let limits = material.numbers.limits.as_ref()?;
    let units = material.units();
    let alcohol = finished.co2_kg / CO2_PER_ETHANOL;
    let why = match limits.stopped_by {
        StoppedBy::Sugar => "until the sugar is gone, or it is stopped",
        StoppedBy::Tolerance => "until the yeast's limit, or it is stopped",
    };
    Some(Shown {
        value: units::volume(finished.co2_kg * GAS_L_PER_KG, units),
        inputs: inputs([
            ("how far it ferments", why.to_owned()),
            ("sugar fermented", mass(alcohol / ETHANOL_PER_SUGAR, units)),
            ("alcohol made", mass(alcohol, units)),
            ("gas", mass(finished.co2_kg, units)),
            ("gas", volume(finished.co2_kg * GAS_L_PER_KG, units)),
        ]),
    })
}
