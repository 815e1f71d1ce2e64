//! What a batch proposes for its entry: by its log where that knows, else by its recipe. All of it can be changed.

use super::model::{NAME_MAX, SPECIAL_MAX};
use crate::batches::allergens;
use crate::batches::opened::Opened;
use crate::competitions::model::{Category, CategoryId};
use crate::engine::contest::categories;
use crate::engine::contest::declared::{Character, Declared, Sparkle, Sweetness};
use crate::engine::log::Deed;
use crate::engine::log::entry::{How, What};
use crate::engine::recipe::Kind;

/// What is proposed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposed {
    pub name: String,
    pub category: Option<CategoryId>,
    pub declared: Declared,
}

/// What a batch proposes among these categories.
pub fn of(opened: &Opened, among: &[Category]) -> Proposed {
    let style = opened.planned.style.as_ref();
    let family = style.and_then(|style| style.family.value.as_deref());
    let family = family.unwrap_or_default();
    let (strength, gravity) = at_the_end(opened);
    // In tenths, as it is typed and read.
    let abv_percent = (strength * 10.0).round().clamp(0.0, 250.0) / 10.0;
    let asked: Vec<_> = among
        .iter()
        .map(|one| (one.family.as_deref(), one.strength.as_deref()))
        .collect();
    let category = categories::proposed(&asked, family, abv_percent);
    Proposed {
        name: shortened(&opened.batch.name, NAME_MAX),
        category: category.and_then(|at| among.get(at)).map(|one| one.id),
        declared: Declared {
            abv_percent,
            sweetness: Sweetness::of_gravity(gravity),
            sparkle: sparkle(opened),
            character: character(opened, family),
            special: special(opened),
            allergens: allergens::of(opened),
            note: String::new(),
        },
    }
}

/// Strength and gravity as it will be poured: of what was filled as it is, of what still ferments as it is expected to end.
fn at_the_end(opened: &Opened) -> (f64, f64) {
    let state = &opened.state;
    match state.packaged_l > 0.0 {
        true => (state.abv_percent, state.sg),
        false => (state.expected.abv_percent, state.expected.fg),
    }
}

/// By the last filling.
fn sparkle(opened: &Opened) -> Sparkle {
    let filled = opened
        .entries
        .iter()
        .rev()
        .find_map(|entry| match &entry.deed {
            Deed::Package(package) => Some(package),
            _ => None,
        });
    match filled {
        Some(package) if package.how == Some(How::Gas) => match package.volumes_co2 {
            Some(volumes) => Sparkle::of_volumes(volumes),
            None => Sparkle::Lightly,
        },
        _ => Sparkle::Still,
    }
}

/// By what was in the recipe, and by what went in since: whichever is louder.
fn character(opened: &Opened, family: &str) -> Character {
    let planned = match (family, categories::group_of(family)) {
        ("capsicumel", _) => Character::Pepper,
        (_, "fruit") => Character::Fruit,
        (_, "spice") => Character::Spice,
        _ => Character::Plain,
    };
    let added = opened.entries.iter().map(|entry| match &entry.deed {
        Deed::Addition(addition) => match addition.what {
            What::Fruit | What::Juice => Character::Fruit,
            What::Spice => Character::Spice,
            _ => Character::Plain,
        },
        _ => Character::Plain,
    });
    added.fold(planned, Character::max)
}

/// What gives it its taste, as it was weighed out and as it was added, each once.
fn special(opened: &Opened) -> String {
    let planned = opened.recipe.ingredients.iter().filter(|one| {
        matches!(
            one.kind,
            Kind::Honey
                | Kind::Fruit
                | Kind::Juice
                | Kind::Syrup
                | Kind::Malt
                | Kind::Spice
                | Kind::Wood
        )
    });
    let added = opened.entries.iter().filter_map(|entry| match &entry.deed {
        Deed::Addition(one)
            if matches!(
                one.what,
                What::Fruit | What::Juice | What::Spice | What::Wood
            ) =>
        {
            Some(one.name.as_str())
        }
        _ => None,
    });
    let mut names: Vec<&str> = Vec::new();
    for name in planned.map(|one| one.name.as_str()).chain(added) {
        let name = name.trim();
        let known = names.iter().any(|known| known.eq_ignore_ascii_case(name));
        let length: usize = names.iter().map(|known| known.chars().count() + 2).sum();
        if !known && !name.is_empty() && length + name.chars().count() <= SPECIAL_MAX {
            names.push(name);
        }
    }
    names.join(", ")
}

fn shortened(text: &str, most: usize) -> String {
    text.chars().take(most).collect()
}
