//! What stands under a field: a conversion, what was solved for it, what the catalogue says of what was picked.

use super::Material;
use crate::catalogue::catalogue;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::density::sg_of_fraction;
use crate::engine::recipe::{Amount, Kind, Recipe, When};
use crate::engine::water::Salt;
use crate::recipes::forms::quantity::{Quantity, bare};
use crate::recipes::forms::{Group, Row};
use crate::recipes::numbers;
use crate::recipes::workbench::assume;
use crate::web::units::{self, Units};

/// Source and mark of what was picked from the catalogue.
pub(super) fn source(catalogue: &ClubCatalogue, group: Group, row: &Row) -> String {
    let pick = row.cell("pick");
    let found = match group {
        Group::Honey | Group::Other => catalogue
            .find(pick)
            .map(|entry| (&entry.source, entry.certainty)),
        Group::Yeast => catalogue
            .find_yeast(pick)
            .map(|yeast| (&yeast.source, yeast.certainty)),
        Group::Feed => catalogue
            .find_feed(pick)
            .map(|feed| (&feed.source, feed.certainty)),
        Group::Salt | Group::Step => None,
    };
    found.map_or_else(String::new, |(source, certainty)| {
        format!("Source: {source} ({}).", certainty.words())
    })
}

/// What stands under a single field.
pub(super) fn single_note(material: &Material<'_>, name: &str) -> String {
    let (form, units) = (material.form, material.units);
    let text = form.text(name);
    let numbers = material.numbers;
    match name {
        "volume" => match (form.text("aim").starts_with("honey_"), &numbers.whole) {
            (true, Some(whole)) => format!("solved: {}", units::volume(whole.volume_l, units)),
            _ => both(units::beside_volume(text, units), || {
                other_volume(material.checked.recipe.volume_l, units)
            }),
        },
        "strength" => match (&numbers.whole, form.text("aim")) {
            (Some(whole), "abv" | "honey_abv") => {
                format!("gravity {} at the start", units::gravity(whole.og))
            }
            _ => String::new(),
        },
        "gravity" => {
            let aimed = form.text("aim").ends_with("gravity");
            let abv = numbers.finished.as_ref().filter(|_| aimed);
            let end = abv.map(|end| format!("{} in the end", numbers::strength(end.abv_percent)));
            joined([units::beside_gravity(text, sg_of_fraction), end])
        }
        "final_gravity" => {
            let sweetness = numbers
                .style
                .as_ref()
                .filter(|_| form.text("finish") != "dry" && !text.trim().is_empty())
                .and_then(|style| style.sweetness.value.clone());
            joined([units::beside_gravity(text, sg_of_fraction), sweetness])
        }
        "temperature" => units::beside_temperature(text, units).unwrap_or_default(),
        "mixing_day" => material.mixing_day.format("%A %-d %B %Y").to_string(),
        "title" if material.assumed.contains("title") => {
            format!("assumed: {}", material.checked.recipe.title)
        }
        "vessel_pick" => match catalogue().find_vessel(text) {
            Some(vessel) => format!("{}, {}", units::volume(vessel.brim_l, units), vessel.words),
            None => String::new(),
        },
        "honey_to_use" => units::beside_mass(text, units).unwrap_or_default(),
        "vessel_brim" => match &numbers.vessel {
            Some(fit) => format!("wanted: {}", units::volume(fit.brim_wanted_l, units)),
            None => units::beside_volume(text, units).unwrap_or_default(),
        },
        "water_alkalinity" => match (text.trim().parse::<f64>(), units::parse_alkalinity(text)) {
            (Err(_), Ok(mg)) => format!("{} mg/L as CaCO3", units::plain(mg, 0)),
            _ => String::new(),
        },
        "vessel_loss" => units::beside_volume(text, units).unwrap_or_default(),
        _ => String::new(),
    }
}

fn joined(parts: [Option<String>; 2]) -> String {
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn both(beside: Option<String>, otherwise: impl FnOnce() -> Option<String>) -> String {
    beside.or_else(otherwise).unwrap_or_default()
}

/// The volume in the other system, for whoever buys in it.
fn other_volume(litres: Option<f64>, units: Units) -> Option<String> {
    let litres = litres?;
    Some(match units {
        Units::Metric => format!("= {}", units::volume(litres, Units::Us)),
        Units::Us | Units::Imperial => format!("= {}", units::volume(litres, Units::Metric)),
    })
}

/// What stands under a cell.
pub(super) fn cell_note(material: &Material<'_>, group: Group, row: &Row, column: &str) -> String {
    let catalogue = material.catalogue;
    match (group, column) {
        // The questions fold the amount of a honey away: it is told here.
        (Group::Honey, "pick") if assume::asks(material.form) && !row.is_blank(&["pick"]) => {
            let solved = amount_note(material, group, row);
            let words = catalogue
                .find(row.cell("pick"))
                .map(|entry| entry.words.clone());
            let told = [Some(solved).filter(|note| !note.is_empty()), words];
            told.into_iter().flatten().collect::<Vec<_>>().join("; ")
        }
        (Group::Honey | Group::Other, "pick") => match catalogue.find(row.cell("pick")) {
            Some(entry) => match entry.composition {
                Some(parts) => format!(
                    "{}: {} water, {} sugar that ferments",
                    entry.words,
                    percent(parts.water),
                    percent(parts.fermentable)
                ),
                None => entry.words.clone(),
            },
            None => String::new(),
        },
        (Group::Honey | Group::Other, "amount") => amount_note(material, group, row),
        (Group::Yeast, "pick") => match catalogue.find_yeast(row.cell("pick")) {
            Some(yeast) => format!(
                "{}; stops near {}, likes {} to {}, {} need of nitrogen",
                yeast.words,
                numbers::strength(yeast.tolerance_abv_percent()),
                units::temperature(yeast.temperature_c[0], material.units),
                units::temperature(yeast.temperature_c[1], material.units),
                yeast.nitrogen_need.word()
            ),
            None => String::new(),
        },
        (Group::Feed, "pick") => match catalogue.find_feed(row.cell("pick")) {
            Some(feed) => match given(material, row).as_str() {
                "" => feed.words.clone(),
                given => format!("{}; {given}", feed.words),
            },
            None => given(material, row),
        },
        (Group::Salt, "grams") => brings(material, row),
        _ => String::new(),
    }
}

/// What a salt brings to a litre of this water: "23 mg/L of calcium, 56 of sulfate".
fn brings(material: &Material<'_>, row: &Row) -> String {
    let salt = Salt::named(row.cell("pick"));
    let water = material.numbers.must.as_ref().map(|must| must.water_l);
    let grams = Quantity::Salt.read(row.cell("grams"), material.units).ok();
    let (Some(salt), Some(litres), Some(grams)) =
        (salt, water.filter(|litres| *litres > 0.0), grams)
    else {
        return String::new();
    };
    let ions = salt.ions_mg_per_g();
    let told: Vec<String> = ions
        .iter()
        .filter(|(_, mg)| *mg > 0.0)
        .map(|(ion, mg)| format!("{} mg/L of {ion}", units::plain(mg * grams / litres, 0)))
        .collect();
    match told.is_empty() {
        true => String::new(),
        false => format!("brings {}", told.join(" and ")),
    }
}

fn percent(fraction: f64) -> String {
    format!("{} %", units::plain((fraction * 1000.0).round() / 10.0, 1))
}

/// Grams of a feed over the whole plan.
fn given(material: &Material<'_>, row: &Row) -> String {
    let at = material
        .checked
        .feed_rows
        .iter()
        .position(|key| *key == row.key);
    let plan = material.numbers.feeding.as_ref();
    match at.zip(plan) {
        Some((at, plan)) => {
            let grams: f64 = plan
                .additions
                .iter()
                .filter(|gift| gift.index == at)
                .map(|gift| gift.grams)
                .sum();
            match grams {
                grams if grams > 0.0 => {
                    format!("{} in all", units::mass(grams / 1000.0, material.units))
                }
                _ => "none needed".to_owned(),
            }
        }
        None => String::new(),
    }
}

fn amount_note(material: &Material<'_>, group: Group, row: &Row) -> String {
    let units = material.units;
    let at = material
        .checked
        .item_rows
        .iter()
        .position(|(of, key)| *of == group && *key == row.key);
    let Some(at) = at else { return String::new() };
    let recipe: &Recipe = &material.checked.recipe;
    let Some(item) = recipe.ingredients.get(at) else {
        return String::new();
    };
    let lines: Vec<_> = material
        .numbers
        .ingredients
        .iter()
        .filter(|line| line.index == at)
        .collect();
    let solved: Vec<String> = lines
        .iter()
        .filter(|line| line.solved)
        .filter_map(|line| line.kg.map(|kg| (kg, line.when)))
        .map(
            |(kg, when)| match when == When::Sweeten && item.when != when {
                true => format!("and {} to sweeten", units::mass(kg, units)),
                false => format!("solved: {}", units::mass(kg, units)),
            },
        )
        .collect();
    let beside = units::beside_amount(row.cell("amount"), units, bare(item.kind));
    let per_litre = lines
        .first()
        .and_then(|line| line.kg)
        .zip(material.numbers.whole.as_ref())
        .and_then(|(kg, whole)| {
            let fruit = matches!(item.kind, Kind::Fruit);
            let weighed = matches!(item.amount, Some(Amount::Kg(_) | Amount::Litres(_)));
            (fruit && weighed && kg > 0.0).then(|| units::dose(kg * 1000.0 / whole.volume_l, units))
        });
    let dosed = lines
        .first()
        .and_then(|line| line.kg)
        .filter(|_| matches!(item.amount, Some(Amount::GramsPerLitre(_))));
    let usual = material.catalogue.find(row.cell("pick"));
    let usual = usual
        .and_then(|entry| entry.usual_g_per_l)
        .filter(|_| row.is_blank(&["amount"]));
    let assumed = match (item.amount, usual) {
        (Some(Amount::GramsPerLitre(dose)), Some([low, high])) => Some(format!(
            "assumed: {}, usual up to {}",
            units::dose(dose, units),
            units::dose(low.max(high), units)
        )),
        _ => None,
    };
    let parts = solved
        .into_iter()
        .chain(assumed)
        .chain(beside)
        .chain(per_litre)
        .chain(dosed.map(|kg| format!("= {}", units::mass(kg, units))));
    parts.collect::<Vec<_>>().join(", ")
}
