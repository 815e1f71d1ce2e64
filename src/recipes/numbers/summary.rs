//! What lists keep of a formulation.

use crate::engine::recipe::Kind;
use crate::engine::{ENGINE_VERSION, Formulation, Recipe};
use crate::recipes::model::Numbers;

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
    Numbers {
        volume_l: whole.map(|whole| whole.volume_l).or(recipe.volume_l),
        og: whole.map(|whole| whole.og),
        fg: finished.map(|finished| finished.fg),
        abv_percent: finished.map(|finished| finished.abv_percent),
        honey_kg: whole.map(|_| honey_kg),
        honeys: recipe
            .ingredients
            .iter()
            .filter(|item| item.kind == Kind::Honey)
            .map(|item| item.name.clone())
            .collect(),
        style_family: style.and_then(|style| style.family.value.clone()),
        strength: style.and_then(|style| style.strength.value.clone()),
        sweetness: style.and_then(|style| style.sweetness.value.clone()),
        problems: i32::try_from(numbers.problems.len()).unwrap_or(i32::MAX),
        engine_version: ENGINE_VERSION.to_string(),
    }
}
