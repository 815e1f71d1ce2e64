//! Acidity, sugar against it, and what water brings: what the tongue finds.

use super::{Inputs, Material, MethodText, Shown, inputs, mass, volume};
use crate::engine::water::read_salts;
use crate::web::units;
use crate::web::words::reason;

pub(super) const ACIDITY: MethodText = MethodText {
    slug: "acidity",
    title: "Acidity, and sugar against it",
    sentence: "What the ingredients bring of acid, counted as tartaric acid and spread over the finished mead. Sugar over acid says which of them the tongue finds first.",
    formula: &[
        "acidity = sum of (kilograms × grams of acid in a kilogram) ÷ volume at the end",
        "sugar against acid = sugar left ÷ acidity:  under 1 the acid leads, from 4 the sugar",
    ],
    source: "Arithmetic; acids of fruit from Belitz and others by way of the catalogue. The edges 1, 2 and 4 are those of a scale on bottles of Riesling, from memory; for mead there is none.",
    range: "Where an ingredient says how much acid it brings; the others count as none.",
    leaves_out: "Acid of the yeast (0.5 to 1 g/L), the slow acid of honey, whose lactone opens over days, and what is lost as crystals. Tables of fruit acid differ by a third. It says nothing of pH.",
};

pub(super) const MINERALS: MethodText = MethodText {
    slug: "minerals",
    title: "What the water brings",
    sentence: "The report's ions, and those of the salts that are weighed in, for each litre of the water. Hard, alkaline water holds the pH up; water without minerals leaves the yeast wanting.",
    formula: &[
        "ion in mg/L = the report's + grams of salt × milligrams of the ion in a gram ÷ litres of water",
        "alkalinity as CaCO3 = milliequivalents of bicarbonate, carbonate and hydroxide × 50.043",
    ],
    source: "Stoichiometry with atomic weights of IUPAC 2021; held against a geochemical program that we read.",
    range: "The water alone, before honey goes in; salts that dissolve.",
    leaves_out: "Chlorine and chloramine, metals, and what honey and fruit bring themselves: potassium above all. A water's report is an average of a year.",
};

/// Grams of acid that a line brings in a kilogram, where the recipe says so.
fn acid_of(material: &Material<'_>, index: usize) -> Option<f64> {
    let item = material.recipe.ingredients.get(index)?;
    item.composition.as_ref()?.ta_g_per_kg
}

pub(super) fn acidity(material: &Material<'_>) -> Option<Shown> {
    let finished = material.numbers.finished.as_ref()?;
    let acid = finished.ta_g_per_l?;
    let units = material.units();
    let lines = material.numbers.ingredients.iter();
    let mut list: Inputs = lines
        .filter_map(|line| {
            let (kg, per_kg) = (line.kg?, acid_of(material, line.index)?);
            let words = format!(
                "{} with {} g in a kilogram: {}",
                mass(kg, units),
                units::plain(per_kg, 2),
                mass(kg * per_kg / 1000.0, units)
            );
            (kg > 0.0).then(|| (line.name.clone(), words))
        })
        .collect();
    list.extend(inputs([
        ("volume at the end", volume(finished.volume_l, units)),
        ("acidity as tartaric", units::grams_per_litre(acid)),
        (
            "sugar left",
            units::grams_per_litre(finished.residual_sugar_g_per_l),
        ),
    ]));
    if let Some(must) = material
        .numbers
        .whole
        .as_ref()
        .and_then(|whole| whole.ta_g_per_l)
    {
        list.push((
            "acidity of the must".to_owned(),
            units::grams_per_litre(must),
        ));
    }
    if let Some(balance) = &material.numbers.balance {
        list.push((
            "sugar against acid".to_owned(),
            units::plain(balance.sugar_to_acid, 2),
        ));
        if let Some(words) = reason(balance.band) {
            list.push(("so".to_owned(), words.to_owned()));
        }
    }
    Some(Shown {
        value: units::grams_per_litre(acid),
        inputs: list,
    })
}

pub(super) fn minerals(material: &Material<'_>) -> Option<Shown> {
    let water = material.numbers.water.as_ref()?;
    let must = material.numbers.must.as_ref()?;
    let report = material.recipe.water_report.as_ref()?;
    let mg = |value: f64| format!("{} mg/L", units::plain(value, 1));
    let mut list = inputs([("litres of water", volume(must.water_l, material.units()))]);
    for (name, value) in &report.ions {
        list.push((format!("{name}, by the report"), mg(*value)));
    }
    for (salt, grams) in read_salts(&report.salts, "").unwrap_or_default() {
        list.push((
            format!("{} added", salt.formula()),
            mass(grams / 1000.0, material.units()),
        ));
    }
    for (name, value) in water.ions.iter().filter(|(_, value)| *value > 0.0) {
        list.push((format!("{name} in all"), mg(value)));
    }
    list.push((
        "alkalinity as CaCO3".to_owned(),
        mg(water.alkalinity_mg_per_l_caco3),
    ));
    if let Some(miss) = water.charge_imbalance_percent {
        list.push((
            "charges of the report miss each other by".to_owned(),
            format!("{} %", units::plain(miss, 1)),
        ));
    }
    Some(Shown {
        value: format!("{} mg/L", units::plain(water.ions.sum(), 0)),
        inputs: list,
    })
}
