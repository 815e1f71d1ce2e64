//! Vessel, bottles, cost, when it is good to drink, and what it is called.

use super::{Material, MethodText, Shown, gravity, inputs, mass, strength, volume};
use crate::engine::recipe::{Form, Kind, When};
use crate::recipes::numbers::lead;
use crate::web::units;
use crate::web::words::reason;

pub(super) const VESSEL: MethodText = MethodText {
    slug: "vessel",
    title: "Room in the vessel",
    sentence: "What the must and its fruit fill, with room for the foam above. A vessel is measured to its brim.",
    formula: &[
        "fills = volume of the must before the fruit + weight of the fruit ÷ its density",
        "brim wanted = (fills + 0.35 L per kg of fruit) ÷ (1 − room for foam)",
        "room for foam: 15 %;  with a beer yeast 20 %;  with browned honey or malt 25 %;  or the part that the recipe gives, then without the 0.35 L",
    ],
    source: "Common practice, no published source.",
    range: "The first fermentation. Later vessels are filled to the neck.",
    leaves_out: "How wildly this yeast foams, warmth, and powder that is fed into gas. Fruit in a bag rises above the must.",
};

pub(super) const BOTTLES: MethodText = MethodText {
    slug: "bottles",
    title: "Litres and bottles",
    sentence: "The finished mead, less what lees, fruit, racking and bottling keep back; then full bottles.",
    formula: &[
        "kept back = 4 % (at least 0.25 L) for the first racking + 2 % (at least 0.15 L) for the second + 0.15 L for bottling + 0.4 L per kg of fruit",
        "or the litres that the vessel keeps back, where the recipe says so",
        "bottles = (finished − kept back) ÷ 0.75 L, rounded down",
    ],
    source: "Common practice, no published source.",
    range: "Two rackings. In all 8 to 10 % of 20 L, 12 to 15 % of 4.5 L.",
    leaves_out: "Samples that are not poured back. Small barrels lose 4 to 8 % a year. Pressed fruit keeps back less, 0.25 L per kg.",
};

pub(super) const COST: MethodText = MethodText {
    slug: "cost",
    title: "Cost",
    sentence: "Each ingredient's weight times its price, added up. Shown when every ingredient has a price.",
    formula: &[
        "cost = sum of kilograms × price of a kilogram, with the feeds whose price is known",
        "a bottle = that ÷ full bottles of 0.75 L",
    ],
    source: "The prices in the recipe.",
    range: "One currency, the club's own.",
    leaves_out: "Yeast, feeds without a price, water, bottles, heat, and your time.",
};

pub(super) const READY: MethodText = MethodText {
    slug: "ready",
    title: "Good to drink from",
    sentence: "The month from which such a mead is usually good, counted from the mixing day, and the month by which it is usually better. Many go on getting better for long after it.",
    formula: &[
        "light mead 1 to 2 months, with malt 2 to 4, with fruit or spice 4 to 9, traditional 6 to 12, of browned honey 9 to 18, strong (sack) 12 to 36",
    ],
    source: "Common practice, no published source.",
    range: "Sound meads, kept cool and full.",
    leaves_out: "Everything but style and strength: yeast, feeding, warmth, oak, your taste. Heat, acid and sulfur in the first four months mostly fade: taste again.",
};

pub(super) const STYLE: MethodText = MethodText {
    slug: "style",
    title: "What it is called",
    sentence: "What is in it gives the family, its alcohol the strength, its gravity at the end the sweetness. The maker's own word always wins.",
    formula: &[
        "family: the first rule that holds, from malt over maple, browned honey, fruit and spice to honey alone",
        "strength: hydromel from 3.5 %, standard from 7.5 %, sack from 14 to 18 %",
        "sweetness: dry under 1.010, semi-sweet from 1.010, sweet from 1.025 to 1.050;  on an edge the upper word",
    ],
    source: "Strength and sweetness: mead style guidelines of 2015, read as quoted, two ends from memory. Rules of the family: our judgement, no published source.",
    range: "Strength has no word outside 3.5 to 18 %.",
    leaves_out: "Taste: acid and tannin hide sweetness, and a spice may be too little to notice. The guidelines' bands of starting gravity are not used: alcohol is what the drinker gets.",
};

/// Fruit with flesh or skins, kg, of the stages wanted.
fn fruit_kg(material: &Material<'_>, wanted: impl Fn(When) -> bool) -> f64 {
    let lines = material.numbers.ingredients.iter();
    lines
        .filter(|line| {
            let item = material.recipe.ingredients.get(line.index);
            let is_fruit =
                item.is_some_and(|item| item.kind == Kind::Fruit && item.form != Some(Form::Juice));
            is_fruit && wanted(line.when)
        })
        .filter_map(|line| line.kg)
        .sum()
}

pub(super) fn vessel(material: &Material<'_>) -> Option<Shown> {
    let fit = material.numbers.vessel.as_ref()?;
    let must = material.numbers.must.as_ref()?;
    let units = material.units();
    let own = material.recipe.vessel.as_ref();
    let fruit = fruit_kg(material, |when| matches!(when, When::Must | When::Primary));
    let foam = match own.and_then(|own| own.headspace_fraction) {
        Some(part) => format!("{} %, as the recipe says", units::plain(part * 100.0, 1)),
        None => {
            let part = 1.0 - (fit.fill_l + 0.35 * fruit) / fit.brim_wanted_l;
            format!("{} %", units::plain(part * 100.0, 1))
        }
    };
    let mut list = inputs([
        ("must before the fruit", volume(must.volume_l, units)),
        ("what fruit adds", volume(fit.fruit_displacement_l, units)),
        ("fills", volume(fit.fill_l, units)),
        ("weight of the fruit", mass(fruit, units)),
        ("room for foam", foam),
        ("brim wanted", volume(fit.brim_wanted_l, units)),
    ]);
    if let (Some(own), Some(headspace)) = (own, fit.headspace_l) {
        list.push(("the vessel's brim".to_owned(), volume(own.brim_l, units)));
        list.push(("left free in it".to_owned(), volume(headspace, units)));
    }
    if let Some(words) = reason(fit.advice) {
        list.push(("so".to_owned(), words.to_owned()));
    }
    Some(Shown {
        value: units::volume(fit.brim_wanted_l, units),
        inputs: list,
    })
}

pub(super) fn bottles(material: &Material<'_>) -> Option<Shown> {
    let package = material.numbers.package.as_ref()?;
    let finished = material.numbers.finished.as_ref()?;
    let units = material.units();
    let litres = finished.volume_l;
    let mut list = inputs([("finished", volume(litres, units))]);
    let own = material.recipe.vessel.as_ref().and_then(|own| own.loss_l);
    if own.is_none() {
        let fruit = fruit_kg(material, |_| true);
        list.extend(inputs([
            ("first racking", volume((0.04 * litres).max(0.25), units)),
            ("second racking", volume((0.02 * litres).max(0.15), units)),
            ("bottling", volume(0.15, units)),
            (
                "fruit",
                format!("{}, {}", mass(fruit, units), volume(0.4 * fruit, units)),
            ),
        ]));
    }
    list.push((
        match own {
            Some(_) => "kept back, as the recipe says".to_owned(),
            None => "kept back in all".to_owned(),
        },
        volume(package.losses_l, units),
    ));
    list.push(("to bottle".to_owned(), volume(package.litres, units)));
    for size in &package.bottles {
        list.push((
            format!("bottles of {}", units::volume(size.size_l, units)),
            size.count.to_string(),
        ));
    }
    Some(Shown {
        value: units::volume(package.litres, units),
        inputs: list,
    })
}

pub(super) fn cost(material: &Material<'_>) -> Option<Shown> {
    let lines = &material.numbers.ingredients;
    let package = material.numbers.package.as_ref()?;
    let total = package.cost.filter(|total| *total > 0.0)?;
    let units = material.units();
    let mut list: Vec<(String, String)> = lines
        .iter()
        .filter_map(|line| {
            let price = material.recipe.ingredients.get(line.index)?.price_per_kg?;
            let words = format!(
                "{} at {} a kilogram: {}",
                mass(line.kg?, units),
                units::fixed(price, 2),
                units::fixed(line.cost?, 2)
            );
            Some((line.name.clone(), words))
        })
        .collect();
    let plan = material.numbers.feeding.as_ref();
    let feeds: f64 = plan.map_or(0.0, |plan| {
        plan.additions.iter().filter_map(|gift| gift.cost).sum()
    });
    if feeds > 0.0 {
        list.push(("feeds".to_owned(), units::fixed(feeds, 2)));
    }
    list.push(("in all".to_owned(), units::fixed(total, 2)));
    if !package.unpriced.is_empty() {
        let names = package.unpriced.join(", ");
        list.push(("without a price".to_owned(), names));
    }
    if let Some(each) = package.cost_per_bottle {
        list.push(("a bottle of 0.75 L".to_owned(), units::fixed(each, 2)));
    }
    Some(Shown {
        value: units::fixed(total, 2),
        inputs: list,
    })
}

pub(super) fn ready(material: &Material<'_>) -> Option<Shown> {
    let style = material.numbers.style.as_ref()?;
    material.numbers.finished.as_ref()?;
    let word = |value: &Option<String>| value.clone().unwrap_or_else(|| "no word fits".to_owned());
    let [months, more] = lead::months_to_drink(material.numbers);
    let day = material.reader.today();
    let [good, better] = lead::ready(material.numbers, day);
    Some(Shown {
        value: good,
        inputs: inputs([
            ("family", word(&style.family.value)),
            ("strength", word(&style.strength.value)),
            ("mixing day", day.format("%-d %B %Y").to_string()),
            ("months from it", format!("{months} to {more}")),
            ("better by", better),
        ]),
    })
}

pub(super) fn style(material: &Material<'_>) -> Option<Shown> {
    let style = material.numbers.style.as_ref()?;
    let finished = material.numbers.finished.as_ref()?;
    let said = |word: &crate::engine::formulation::StyleWord| {
        let value = word
            .value
            .clone()
            .unwrap_or_else(|| "no word fits".to_owned());
        match reason(word.rule) {
            Some(rule) => format!("{value}: {rule}"),
            None => value,
        }
    };
    Some(Shown {
        value: super::super::family_words(material.numbers),
        inputs: inputs([
            ("strength", strength(finished.abv_percent)),
            ("gravity at the end", gravity(finished.fg)),
            ("family", said(&style.family)),
            ("word for the strength", said(&style.strength)),
            ("word for the sweetness", said(&style.sweetness)),
        ]),
    })
}
