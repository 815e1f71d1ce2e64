//! How much honey a recipe takes at some volume: what an order for honey asks it.

use crate::engine::recipe::{Kind, Recipe};
use crate::engine::scaling::scale;
use crate::engine::{Settings, formulate};

/// One honey of a recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    pub key: Option<String>,
    pub name: String,
    /// For the must and to sweeten together.
    pub kg: f64,
}

/// Litres of must that the recipe makes by itself, if it comes out.
pub fn own_volume(recipe: &Recipe, settings: &Settings) -> Option<f64> {
    let whole = formulate(recipe, settings).whole?;
    Some(whole.volume_l).filter(|litres| *litres > 0.0)
}

/// Every honey of the recipe at so many litres of must; nothing where it does not come out.
pub fn needs(recipe: &Recipe, litres: f64, settings: &Settings) -> Vec<Need> {
    let Some(own) = own_volume(recipe, settings) else {
        return Vec::new();
    };
    let scaled = scale(recipe, litres / own);
    let numbers = formulate(&scaled, settings);
    if numbers.finished.is_none() {
        return Vec::new();
    }
    let honeys = scaled.ingredients.iter().enumerate();
    let needs = honeys
        .filter(|(_, item)| item.kind == Kind::Honey)
        .map(|(index, item)| {
            let lines = numbers
                .ingredients
                .iter()
                .filter(|line| line.index == index);
            Need {
                key: item.key.clone(),
                name: item.name.clone(),
                kg: lines.filter_map(|line| line.kg).sum(),
            }
        });
    needs.filter(|need| need.kg > 0.0).collect()
}

/// How much of an offered honey the recipe takes: the honey of its key, or, where it holds none of that key, all its honey,
/// in whose place the offered one stands.
pub fn wanted(needs: &[Need], key: Option<&str>) -> f64 {
    let same: f64 = needs
        .iter()
        .filter(|need| key.is_some() && need.key.as_deref() == key)
        .map(|need| need.kg)
        .sum();
    match same > 0.0 {
        true => same,
        false => needs.iter().map(|need| need.kg).sum(),
    }
}
