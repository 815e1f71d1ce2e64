//! Amounts as their maker wrote them: weights, litres, doses; and what each ingredient is made of.

use super::{Inputs, Material, MethodText, Shown, inputs, mass, volume};
use crate::engine::formulation::Line;
use crate::engine::recipe::{Amount, Kind};
use crate::web::units;

/// A line of what goes in, as shown and as solved.
pub(super) struct OfLine<'a> {
    pub line: &'a Line,
    pub exact: &'a Line,
}

pub(super) const WEIGHED: MethodText = MethodText {
    slug: "weighed",
    title: "An amount as it was written",
    sentence: "Taken as its maker wrote it; nothing is solved. Written in another unit, it is turned into kilograms. At another volume it grows and shrinks with the must.",
    formula: &[
        "1 lb = 0.45359237 kg;  1 oz = 28.349523 g",
        "at another volume: amount × volume wanted ÷ the recipe's own volume",
    ],
    source: "Pound and ounce: exact by the agreement of 1959, from memory.",
    range: "Any amount for which there is room in the volume.",
    leaves_out: "What sticks to jar, spoon and bag; the error of the scale.",
};

pub(super) const LITRES: MethodText = MethodText {
    slug: "litres",
    title: "Litres as a weight",
    sentence: "Everything is reckoned by weight, for weights add up. Litres become kilograms by the density of the ingredient: its own where one is written down, else that of honey or of a sugar solution of its strength.",
    formula: &[
        "kilograms = litres × density at 20 °C",
        "1 US gallon = 3.785412 L;  1 imperial gallon = 4.54609 L",
    ],
    source: "Sugar solutions: ICUMSA SPS-4 (1994). Honey: fit to the tables of White (1975, from memory) and CRC (102nd edition), worked out here.",
    range: "Liquids and honey; a whole fruit wants a density of its own.",
    leaves_out: "Temperature: warm honey is up to 2 % lighter for its volume. Jars are filled by weight, so weighing is surer. Air in the honey.",
};

pub(super) const DOSE: MethodText = MethodText {
    slug: "dose",
    title: "So much for each litre",
    sentence: "A dose is counted on the litres of the whole must, also where it goes in later.",
    formula: &["grams = grams per litre × volume of the must"],
    source: "Arithmetic. Usual doses stand in the catalogue, most of them common practice, no published source.",
    range: "Any dose for which there is room in the volume.",
    leaves_out: "What was lost before it goes in: after racking there is less mead than must, and the same grams are a little stronger.",
};

/// Dissolved matter of one kilogram of an ingredient, kg.
pub(super) fn dissolved(material: &Material<'_>, index: usize) -> f64 {
    let item = material.recipe.ingredients.get(index);
    item.and_then(|item| item.composition.as_ref())
        .map_or(0.0, |parts| parts.fermentable + parts.unfermentable)
}

/// What goes into the liquid of one kilogram of an ingredient, kg.
pub(super) fn liquid(material: &Material<'_>, index: usize) -> f64 {
    let item = material.recipe.ingredients.get(index);
    item.and_then(|item| item.composition.as_ref())
        .map_or(0.0, |parts| {
            parts.water + parts.fermentable + parts.unfermentable
        })
}

/// What one kilogram of an ingredient holds, and who says so.
pub(super) fn made_of(material: &Material<'_>, index: usize) -> Inputs {
    let Some(item) = material.recipe.ingredients.get(index) else {
        return Vec::new();
    };
    let Some(parts) = &item.composition else {
        return Vec::new();
    };
    let grams = |part: f64| format!("{} g", units::plain(part * 1000.0, 1));
    let (ferments, stays) = match item.kind {
        Kind::Sweetener => (0.0, parts.fermentable + parts.unfermentable),
        _ => (parts.fermentable, parts.unfermentable),
    };
    let mut list = vec![(
        "one kilogram of it holds".to_owned(),
        format!(
            "{} of sugar that ferments, {} dissolved that stays, {} of water",
            grams(ferments),
            grams(stays),
            grams(parts.water)
        ),
    )];
    let catalogue = &material.reader.catalogue;
    let entry = item.key.as_deref().and_then(|key| catalogue.find(key));
    let same = |entry: &crate::catalogue::Composition| {
        (entry.water - parts.water).abs() < 1e-9
            && (entry.fermentable - parts.fermentable).abs() < 1e-9
    };
    let who = match entry {
        Some(entry) if entry.composition.as_ref().is_some_and(same) => {
            format!("{} ({})", entry.source, entry.certainty.words())
        }
        _ => "the maker's own figures".to_owned(),
    };
    list.push(("who says so".to_owned(), who));
    list
}

/// The amount as found, with what rounding to a scale made of it.
pub(super) fn found(material: &Material<'_>, of: &OfLine<'_>, mut list: Inputs) -> Shown {
    let units = material.units();
    let exact = of.exact.kg.unwrap_or_default();
    let shown = of.line.kg.unwrap_or(exact);
    list.push(("amount".to_owned(), mass(exact, units)));
    if (exact - shown).abs() > 1e-9 {
        list.push(("weighed as".to_owned(), mass(shown, units)));
    }
    if let Some(litres) = of.line.litres {
        list.push(("in litres".to_owned(), volume(litres, units)));
    }
    if let Some(sugar) = of.line.sugar_kg.filter(|sugar| *sugar > 0.0) {
        list.push(("sugar it brings".to_owned(), mass(sugar, units)));
    }
    if let Some(points) = of.line.gravity_points.filter(|points| *points > 0.0) {
        let points = units::fixed(points, 1);
        list.push((
            "its part of the gravity at the start".to_owned(),
            format!("{points} points of 0.001"),
        ));
    }
    Shown {
        value: units::mass(shown, units),
        inputs: list,
    }
}

/// The text as it was typed, where the recipe keeps it.
fn typed(material: &Material<'_>, of: &OfLine<'_>, unit: &str) -> Inputs {
    let path = format!("/ingredients/{}/amount/{unit}", of.line.index);
    let text = material.recipe.typed.get(&path);
    text.map(|text| vec![("as written".to_owned(), text.clone())])
        .unwrap_or_default()
}

pub(super) fn weighed(material: &Material<'_>, of: &OfLine<'_>) -> Shown {
    let mut list = typed(material, of, "kg");
    list.extend(made_of(material, of.line.index));
    found(material, of, list)
}

pub(super) fn litres(material: &Material<'_>, of: &OfLine<'_>) -> Shown {
    let mut list = typed(material, of, "l");
    let item = material.recipe.ingredients.get(of.line.index);
    if let Some(Amount::Litres(litres)) = item.and_then(|item| item.amount) {
        list.push(("litres".to_owned(), volume(litres, material.units())));
    }
    if let Some((kg, litres)) = of.exact.kg.zip(of.exact.litres).filter(|(_, l)| *l > 0.0) {
        let own = item
            .and_then(|item| item.composition.as_ref())
            .is_some_and(|parts| parts.density_kg_per_l.is_some());
        let whose = if own { "its own" } else { "by its make-up" };
        list.push((
            "density at 20 °C".to_owned(),
            format!("{} kg/L, {whose}", units::fixed(kg / litres, 4)),
        ));
    }
    list.extend(made_of(material, of.line.index));
    found(material, of, list)
}

pub(super) fn dose(material: &Material<'_>, of: &OfLine<'_>) -> Shown {
    let mut list = typed(material, of, "g_per_l");
    let item = material.recipe.ingredients.get(of.line.index);
    if let Some(Amount::GramsPerLitre(dose)) = item.and_then(|item| item.amount) {
        list.push(("dose".to_owned(), units::dose(dose, material.units())));
    }
    if let Some(whole) = &material.exact.whole {
        let litres = volume(whole.volume_l, material.units());
        list.extend(inputs([("volume of the must", litres)]));
    }
    list.extend(made_of(material, of.line.index));
    found(material, of, list)
}
