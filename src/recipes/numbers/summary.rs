//! What lists keep of a formulation.

use std::collections::BTreeSet;

use super::{lead, tools};
use crate::engine::recipe::Kind;
use crate::engine::{ENGINE_VERSION, Formulation, Recipe};
use crate::recipes::model::Numbers;

/// Raised when lists keep something else of the same formulation.
const KEPT: i32 = 1;
/// What is usually sold, litres.
const BOTTLE_L: f64 = 0.75;

/// The version of numbers that are kept now; others are reckoned again.
pub fn version() -> String {
    format!("{ENGINE_VERSION}.{KEPT}")
}

/// What lists keep of a formulation.
pub fn numbers_for_lists(recipe: &Recipe, numbers: &Formulation) -> Numbers {
    let (whole, finished, style) = (
        numbers.whole.as_ref(),
        numbers.finished.as_ref(),
        numbers.style.as_ref(),
    );
    let honey = |index: usize| {
        recipe
            .ingredients
            .get(index)
            .is_some_and(|item| item.kind == Kind::Honey)
    };
    let honey_kg: f64 = numbers
        .ingredients
        .iter()
        .filter(|line| honey(line.index))
        .filter_map(|line| line.kg)
        .sum();
    let cost_per_bottle = numbers.package.as_ref().and_then(|package| {
        let cost = package.cost.filter(|_| package.litres > 0.0)?;
        Some(cost / package.litres * BOTTLE_L)
    });
    let named = |wanted: bool| {
        let items = recipe.ingredients.iter();
        items
            .filter(|item| (item.kind == Kind::Honey) == wanted)
            .map(|item| item.name.clone())
            .collect::<Vec<_>>()
    };
    let keys = recipe
        .ingredients
        .iter()
        .filter_map(|item| item.key.clone());
    let yeast_keys = recipe.yeasts.iter().filter_map(|yeast| yeast.key.clone());
    let keys: BTreeSet<String> = keys.chain(yeast_keys).collect();
    let ready = finished.map(|_| lead::months_to_drink(numbers)[0]);
    Numbers {
        volume_l: whole.map(|whole| whole.volume_l).or(recipe.volume_l),
        og: whole.map(|whole| whole.og),
        fg: finished.map(|finished| finished.fg),
        abv_percent: finished.map(|finished| finished.abv_percent),
        honey_kg: whole.map(|_| honey_kg),
        honeys: named(true),
        others: named(false),
        yeasts: recipe
            .yeasts
            .iter()
            .map(|yeast| yeast.name.clone())
            .collect(),
        keys: keys.into_iter().collect(),
        style_family: style.and_then(|style| style.family.value.clone()),
        strength: style.and_then(|style| style.strength.value.clone()),
        sweetness: style.and_then(|style| style.sweetness.value.clone()),
        ready_months: ready.and_then(|months| i32::try_from(months).ok()),
        cost_per_bottle,
        little_gear: tools::little_gear(recipe, numbers),
        problems: i32::try_from(numbers.problems.len()).unwrap_or(i32::MAX),
        engine_version: version(),
    }
}
