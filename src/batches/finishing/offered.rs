//! What can go in: of the recipe, and of the club's catalogue.

use crate::batches::log::addition_of;
use crate::batches::opened::Opened;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{Entry, Kind as What};
use crate::engine::balance::Liquid;
use crate::engine::finish::sweetness::{Sweetener, as_sweet_as_sugar};
use crate::engine::log::entry::Addition;
use crate::engine::recipe::{Composition, Ingredient, Kind};

/// What begins the key of an ingredient of the recipe.
const OF_RECIPE: &str = "recipe-";

/// Something that sweetens.
pub struct Sweet {
    pub key: String,
    pub words: String,
    pub name: String,
    pub is: Sweetener,
    /// Whom it can hurt; empty where it hurts nobody.
    pub caution: String,
    /// Whether yeast can use it.
    pub ferments: bool,
    /// What an addition of it is before its amount is known.
    pub addition: Addition,
}

fn sweet(key: String, words: String, of: &Ingredient) -> Option<Sweet> {
    let composition = of.composition.as_ref()?;
    let solids = composition.fermentable + composition.unfermentable;
    let ferments = of.kind != Kind::Sweetener;
    let times = match (ferments, of.key.as_deref()) {
        (true, _) => 1.0,
        (false, key) => key.and_then(as_sweet_as_sugar)?,
    };
    let (sugar_kg, extract_kg) = match ferments {
        true => (composition.fermentable, composition.unfermentable),
        false => (0.0, solids),
    };
    let sweet_kg_per_kg = match ferments {
        true => sugar_kg,
        false => times * solids,
    };
    let mut addition = addition_of(of);
    if !ferments {
        // Its solids never ferment, whatever they are called.
        addition.composition = Some(Composition {
            fermentable: 0.0,
            unfermentable: solids,
            ..composition.clone()
        });
    }
    Some(Sweet {
        key,
        words,
        name: of.name.clone(),
        is: Sweetener {
            per_kg: Liquid {
                water_kg: composition.water,
                sugar_kg,
                extract_kg,
                ethanol_kg: 0.0,
            },
            acid_g_per_kg: composition.ta_g_per_kg.unwrap_or(0.0),
            sweet_kg_per_kg,
        },
        caution: String::new(),
        ferments,
        addition,
    })
    .filter(|sweet| sweet.is.sweet_kg_per_kg > 0.0)
}

/// All that sweetens: the honeys of the recipe, what does not ferment, and the catalogue's honeys, sugars, syrups and juices.
pub fn sweeteners(opened: &Opened, catalogue: &ClubCatalogue) -> Vec<Sweet> {
    let own = opened.recipe.ingredients.iter().enumerate();
    let own = own
        .filter(|(_, item)| item.kind == Kind::Honey)
        .filter_map(|(index, item)| {
            let words = format!("{}, of the recipe", item.name);
            sweet(format!("{OF_RECIPE}{index}"), words, item)
        });
    let named = |entry: &Entry| {
        let words = match entry.kind {
            What::Sweetener => format!("{}, which does not ferment", entry.name),
            _ => entry.name.clone(),
        };
        let found = sweet(entry.key.clone(), words, &entry.ingredient())?;
        Some(Sweet {
            caution: entry.caution.clone().unwrap_or_default(),
            ..found
        })
    };
    let sweet_kind = |entry: &&Entry| {
        matches!(
            entry.kind,
            What::Sugar | What::Syrup | What::Juice | What::Sweetener
        )
    };
    let (inert, others): (Vec<&Entry>, Vec<&Entry>) = catalogue
        .others()
        .filter(sweet_kind)
        .partition(|entry| entry.kind == What::Sweetener);
    let rest = inert.into_iter().chain(catalogue.honeys()).chain(others);
    own.chain(rest.filter_map(named)).collect()
}

/// What clears or gives taste: fining, tannin, wood, spice.
pub fn for_taste(catalogue: &ClubCatalogue) -> Vec<&Entry> {
    let is = |entry: &&Entry| {
        matches!(
            entry.kind,
            What::Fining | What::Tannin | What::Wood | What::Spice
        )
    };
    let mut all: Vec<&Entry> = catalogue.others().filter(is).collect();
    let place = |entry: &&Entry| match entry.kind {
        What::Fining => 0,
        What::Tannin => 1,
        What::Wood => 2,
        _ => 3,
    };
    all.sort_by_key(place);
    all
}

/// The honey of a stock: the recipe's first, else the usual one of the catalogue.
pub fn honey(opened: &Opened, catalogue: &ClubCatalogue) -> Option<Ingredient> {
    let mut own = opened.recipe.ingredients.iter();
    let own = own.find(|item| item.kind == Kind::Honey && item.composition.is_some());
    own.cloned()
        .or_else(|| catalogue.honeys().next().map(Entry::ingredient))
}
