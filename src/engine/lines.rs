//! The list of ingredients with their solved amounts; what sweetens stands as lines of its own.

use super::formulate::Balance;
use super::formulation::Line;
use super::prepare::{Item, Quantity, solved_by_aim};
use super::recipe::{Aim, Recipe, When};

/// Whether this item is a share that sweetens: its line tells how much of it was solved.
fn sweetens(item: &Item) -> bool {
    item.when == When::Sweeten && matches!(item.quantity, Quantity::Share(_))
}

/// Every ingredient with its amount, then what was solved to sweeten.
pub(super) fn solved_lines(balance: &Balance<'_>) -> Vec<Line> {
    let points_per_kg = 1000.0 * (balance.whole.og - 1.0) / balance.whole_liquid.solids_kg();
    let line = |index: usize, item: &Item, kg: f64, when: When, solved: bool| Line {
        index,
        solved,
        name: name(balance.recipe, index),
        when,
        kg: Some(kg),
        litres: item.density.map(|density| kg / density),
        sugar_kg: Some(item.parts.sugar_kg * kg),
        gravity_points: (solved_by_aim(when) && points_per_kg.is_finite())
            .then(|| points_per_kg * item.parts.solids_kg() * kg),
        cost: item.price.map(|price| price * kg),
    };
    let sweetening = &balance.amounts.sweetening;
    let used = balance.amounts.sweetening_of_each();
    let stated = balance.items.iter().zip(&balance.amounts.kg).enumerate();
    let mut lines: Vec<Line> = stated
        // What is sweetened with has its line below; a share that is not needed stands here with nothing.
        .filter(|(index, (item, _))| {
            !(sweetens(item) && used.get(*index).is_some_and(Option::is_some))
        })
        .map(|(index, (item, kg))| {
            let solved = matches!(item.quantity, Quantity::Share(_) | Quantity::Filler);
            line(index, item, *kg, item.when, solved)
        })
        .collect();
    lines.extend(sweetening.iter().filter_map(|(index, kg)| {
        let item = balance.items.get(*index)?;
        Some(line(*index, item, *kg, When::Sweeten, true))
    }));
    lines
}

/// What is known of the amounts when the aim could not be solved.
pub(super) fn unsolved_lines(recipe: &Recipe, items: &[Item]) -> Vec<Line> {
    let volume_l = match recipe.aim {
        Aim::UseHoney { .. } => None,
        Aim::Target(_) | Aim::Amounts => recipe.volume_l,
    };
    let line = |(index, item): (usize, &Item)| {
        let kg = match item.quantity {
            Quantity::Fixed(kg) => Some(kg),
            Quantity::PerLitre(kg) => volume_l.map(|volume| volume * kg),
            Quantity::Share(_) | Quantity::Filler => None,
        };
        Line {
            index,
            solved: matches!(item.quantity, Quantity::Share(_) | Quantity::Filler),
            name: name(recipe, index),
            when: item.when,
            kg,
            litres: kg.zip(item.density).map(|(kg, density)| kg / density),
            sugar_kg: kg.map(|kg| kg * item.parts.sugar_kg),
            gravity_points: None,
            cost: kg.zip(item.price).map(|(kg, price)| kg * price),
        }
    };
    items.iter().enumerate().map(line).collect()
}

fn name(recipe: &Recipe, index: usize) -> String {
    let ingredient = recipe.ingredients.get(index);
    ingredient
        .map(|ingredient| ingredient.name.clone())
        .unwrap_or_default()
}
