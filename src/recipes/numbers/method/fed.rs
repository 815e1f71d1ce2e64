//! Yeast to pitch, water to wake it in, nitrogen to feed, and the feeds in time.

use super::{Inputs, Material, MethodText, Shown, gravity, inputs, mass, volume};
use crate::engine::feeding::{MOST_AMMONIUM_MG_PER_L, USUAL_AMMONIUM_MG_PER_L};
use crate::engine::formulation::FeedAt;
use crate::engine::recipe::YeastWhen;
use crate::web::units;
use crate::web::words::reason;

pub(super) const FEEDING: MethodText = MethodText {
    slug: "feeding",
    title: "Nitrogen to feed",
    sentence: "Yeast takes so much nitrogen for each gram of sugar, by its class. A part of that is aimed at, lean, usual or full; what the must brings is taken off, and the feeds to hand cover the rest as far as it still helps.",
    formula: &[
        "what the yeast would take = 0.75, 0.90 or 1.25 mg (low, medium, high need) × sugar in g/L;  below 12 °C a fifth more",
        "aimed at = 0.6, 0.8 or 1.0 (lean, usual, full) × that, at most 250 mg/L, with a high need 300",
        "to feed = aimed at − what the must brings",
        "sugar in g/L = 10 × °P × gravity × 0.998203;  °P = 135.997 g³ − 630.272 g² + 1111.14 g − 616.868, g the gravity at the start",
    ],
    source: "Needs by class: common practice, read in one supplier's sheet. Parts of it and ceilings: common practice, no published source. Plato: fit of the American Society of Brewing Chemists, read in an encyclopaedia.",
    range: "Starts of up to about 1.180.",
    leaves_out: "Honey's own nitrogen (10 to 60 mg/kg, from memory) counts as nothing unless it was measured. Potassium, other minerals and vitamins matter as well: trials disagree by how much. A line by must strength (Bisson and Butzke 2000, from memory) asks for more in strong musts; it is shown where it holds, from 21 to 27 °Bx, and not used.",
};

pub(super) const DOSES: MethodText = MethodText {
    slug: "doses",
    title: "Which feed, how much, when",
    sentence: "Feeds of both kinds of nitrogen come first, then organic ones, then ammonium, each up to what is sensible. A weak must is fed all at once; a strong one in four parts, the last of them organic only.",
    formula: &[
        "mixed feed up to 0.9 g/L, organic up to 0.6 g/L, ammonium until it makes 127 mg/L of nitrogen (0.6 g/L of DAP), organic up to 1.0 g/L",
        "where the recipe gives parts of its own: grams per litre = part × nitrogen to feed ÷ nitrogen in a gram",
        "never more than 203.6 mg/L of ammonium nitrogen (0.96 g/L of DAP)",
        "start under 1.060: all at the pitch;  else at 24, 48 and 72 hours, and when one third is gone, or on day 7",
    ],
    source: "Order, amounts and times: common practice, no published source. 0.96 g/L: 27 CFR 24.246, from memory; look up your own law. DAP, 212.13 mg of nitrogen in a gram: worked out from its formula. When one third is gone is forecast by the kinetic model of the engine.",
    range: "Feeds whose nitrogen is known; powders vary by a fifth.",
    leaves_out: "Six hours earlier or later do no harm. The forecast of the break is rough: go by the gravity. Air, stirring and minerals.",
};

pub(super) const YEAST: MethodText = MethodText {
    slug: "yeast",
    title: "Yeast to pitch",
    sentence: "Stronger musts want more yeast: the middle of the usual range for the gravity, half as much again below 15 °C, and then whole sachets.",
    formula: &[
        "grams = grams per litre × volume",
        "under 1.060: 0.25 g/L;  under 1.090: 0.325;  under 1.115: 0.475;  under 1.140: 0.65;  above: 0.875",
        "sachets = grams ÷ grams in a sachet, rounded up",
    ],
    source: "Ranges by gravity: common practice, no published source.",
    range: "Dry yeast, fresh and kept cool.",
    leaves_out: "Age and storage: a sachet past its date may hold half. Liquid yeast is counted in cells, not in grams. A whole sachet is never too much.",
};

pub(super) const WAKING: MethodText = MethodText {
    slug: "waking",
    title: "Water to wake the yeast in",
    sentence: "Dry yeast wakes better in warm water than in sugar. Up to 1.060 it may be strewn on the must as it is.",
    formula: &[
        "water = 10 × the yeast's own weight",
        "wine yeasts 35 to 40 °C, beer yeasts 25 to 30 °C, for 15 to 20 minutes",
    ],
    source: "Common practice, no published source.",
    range: "Dry yeast. With a protectant, about 25 times its weight of water (common practice).",
    leaves_out: "What is printed on the sachet, which comes first. A shock of more than 10 °C when it meets the must.",
};

pub(super) fn feeding(material: &Material<'_>) -> Option<Shown> {
    let plan = material.numbers.feeding.as_ref()?;
    let whole = material.numbers.whole.as_ref()?;
    let recipe = material.recipe;
    let mg = |value: f64| format!("{} mg/L", units::plain(value, 1));
    let fed = (plan.deficit_mg_per_l - plan.beyond_mg_per_l).max(0.0);
    let pitched = recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when == YeastWhen::Pitch)
        .map(|yeast| format!("{}, {} need", yeast.name, yeast.nitrogen_need.as_str()));
    let mut list = inputs([
        ("yeast", pitched.collect::<Vec<_>>().join("; ")),
        ("gravity at the start", gravity(whole.og)),
        (
            "sugar by that gravity",
            units::grams_per_litre(plan.sugar_g_per_l),
        ),
        ("temperature of the must", temperature(material)),
        ("what the yeast would take", mg(plan.demand.class)),
        ("how gently it is fed", recipe.feeding.as_str().to_owned()),
        ("aimed at", mg(plan.target_mg_per_l)),
        ("what the must brings", mg(plan.must_mg_per_l)),
        ("to feed", mg(plan.deficit_mg_per_l)),
        ("of that, more than helps", mg(plan.beyond_mg_per_l)),
        ("fed", mg(fed)),
    ]);
    if let Some(line) = plan.demand.strength_line {
        list.push(("by must strength it would be".to_owned(), mg(line)));
    }
    Some(Shown {
        value: mg_value(fed),
        inputs: list,
    })
}

fn mg_value(mg_per_l: f64) -> String {
    format!("{} mg/L", units::plain(mg_per_l, 0))
}

fn temperature(material: &Material<'_>) -> String {
    let planned = material.recipe.temperature_c;
    planned.map_or("not planned".to_owned(), |celsius| {
        units::temperature(celsius, material.units())
    })
}

pub(super) fn doses(material: &Material<'_>) -> Option<Shown> {
    let plan = material.numbers.feeding.as_ref()?;
    let whole = material.numbers.whole.as_ref()?;
    if plan.additions.is_empty() {
        return None;
    }
    let units = material.units();
    let mut list: Inputs = material
        .recipe
        .nutrients
        .iter()
        .map(|feed| {
            let holds = format!(
                "{} mg of ammonium and {} mg of organic nitrogen in a gram",
                units::plain(feed.ammonium_yan_mg_per_g, 2),
                units::plain(feed.organic_yan_mg_per_g, 2)
            );
            (feed.name.clone(), holds)
        })
        .collect();
    list.push((
        "volume of the must".to_owned(),
        volume(whole.volume_l, units),
    ));
    let mut ammonium = 0.0;
    let mut total = 0.0;
    for gift in &plan.additions {
        ammonium += gift.ammonium_mg_per_l;
        total += gift.grams;
        let when = match gift.at {
            FeedAt::Hours(hours) if hours <= 0.0 => "at the pitch".to_owned(),
            FeedAt::Hours(hours) => format!("after {} hours", units::plain(hours, 0)),
            FeedAt::Gravity(sg) => format!("at {}", units::gravity(sg)),
        };
        list.push((
            when,
            format!(
                "{} of {}: {} mg/L of nitrogen",
                mass(gift.grams / 1000.0, units),
                gift.nutrient,
                units::plain(gift.ammonium_mg_per_l + gift.organic_mg_per_l, 1)
            ),
        ));
    }
    list.push((
        "ammonium nitrogen in all".to_owned(),
        format!(
            "{} mg/L; {} is usual at most, {} the ceiling",
            units::plain(ammonium, 1),
            units::plain(USUAL_AMMONIUM_MG_PER_L, 0),
            units::plain(MOST_AMMONIUM_MG_PER_L, 1)
        ),
    ));
    if let Some(why) = reason(plan.why) {
        list.push(("why so".to_owned(), why.to_owned()));
    }
    Some(Shown {
        value: format!("{} in all", units::mass(total / 1000.0, units)),
        inputs: list,
    })
}

pub(super) fn yeast(material: &Material<'_>) -> Option<Shown> {
    let pitching = material.numbers.pitching.as_ref()?;
    let whole = material.numbers.whole.as_ref()?;
    let units = material.units();
    let per_litre = pitching.yeast_g / whole.volume_l;
    Some(Shown {
        value: units::mass(pitching.yeast_g / 1000.0, units),
        inputs: inputs([
            ("gravity at the start", gravity(whole.og)),
            ("volume of the must", volume(whole.volume_l, units)),
            ("temperature of the must", temperature(material)),
            ("grams per litre", units::plain(per_litre, 4)),
            ("yeast", mass(pitching.yeast_g / 1000.0, units)),
            (
                "grams in a sachet, by your settings",
                units::plain(material.reader.sachet_g, 2),
            ),
            ("sachets", pitching.sachets.to_string()),
        ]),
    })
}

pub(super) fn waking(material: &Material<'_>) -> Option<Shown> {
    let pitching = material.numbers.pitching.as_ref()?;
    let units = material.units();
    let water = &pitching.rehydration;
    let [low, high] = water.temperature_c;
    Some(Shown {
        value: match water.wanted {
            true => units::volume(water.water_g / 1000.0, units),
            false => "not needed".to_owned(),
        },
        inputs: inputs([
            ("yeast", mass(pitching.yeast_g / 1000.0, units)),
            ("water", mass(water.water_g / 1000.0, units)),
            (
                "temperature of that water",
                format!(
                    "{} to {}",
                    units::temperature(low, units),
                    units::temperature(high, units)
                ),
            ),
            (
                "is it wanted",
                match water.wanted {
                    true => "yes, the must is stronger than 1.060".to_owned(),
                    false => "no, the must is weak enough to strew it on".to_owned(),
                },
            ),
        ]),
    })
}
