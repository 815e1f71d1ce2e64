//! What goes in at a step, as the log keeps it.

use super::forms::Case;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, Became, Feed, Pitch, What, Why};
use crate::engine::plan::{Amount, StepKind as Kind, Why as Because};
use crate::engine::recipe;

/// The entry for so many kilograms of an amount; `None` for what the log does not keep.
pub(super) fn goes_in(case: &Case<'_>, amount: &Amount, kg: f64) -> Option<Deed> {
    let recipe = &case.opened.recipe;
    let grams = kg * 1000.0;
    let salt = |name: &str, what: What, why: Why| {
        Deed::Addition(Addition {
            why: Some(why),
            grams: Some(grams),
            ..Addition::of(name, what)
        })
    };
    let deed = match amount {
        Amount::Feed {
            index, nutrient, ..
        } => {
            let known = recipe.nutrients.get(*index);
            Deed::Feed(Feed {
                name: nutrient.clone(),
                grams,
                ammonium_yan_mg_per_g: known.map(|feed| feed.ammonium_yan_mg_per_g),
                organic_yan_mg_per_g: known.map(|feed| feed.organic_yan_mg_per_g),
                cost: None,
            })
        }
        Amount::Yeast { .. } => Deed::Pitch(pitch(case, Some(grams))),
        Amount::Honey { .. } => {
            let mut honeys = recipe.ingredients.iter();
            let honey = honeys.find(|item| item.kind == recipe::Kind::Honey)?;
            Deed::Addition(Addition {
                why: Some(Why::StepFeed),
                kg: Some(kg),
                composition: honey.composition.clone(),
                ..Addition::of(&honey.name, What::Honey)
            })
        }
        Amount::Ingredient { index, .. } => {
            let item = recipe.ingredients.get(*index)?;
            Deed::Addition(Addition {
                why: Some(why(case)),
                kg: Some(kg),
                composition: item.composition.clone(),
                ..Addition::of(&item.name, what(case.step.kind, item))
            })
        }
        Amount::Metabisulfite { .. } => salt("Potassium metabisulfite", What::Sulfite, why(case)),
        Amount::Sorbate { .. } => salt("Potassium sorbate", What::Sorbate, why(case)),
        Amount::Reckon { calculation, .. } => match (case.step.kind, *calculation) {
            (Kind::FreeSo2, _) => salt("Potassium metabisulfite", What::Sulfite, Why::Adjust),
            (_, "sulfite") => salt("Potassium metabisulfite", What::Sulfite, why(case)),
            (_, "sorbate") => salt("Potassium sorbate", What::Sorbate, why(case)),
            _ => return None,
        },
        _ => return None,
    };
    Some(deed)
}

/// Why it goes in. Sulfite alone keeps the air away and stabilises nothing.
fn why(case: &Case<'_>) -> Why {
    match (case.step.kind, case.step.why) {
        (Kind::Stabilise, Because::KeepsAirAway) => Why::Other,
        (Kind::Stabilise, _) => Why::Stabilise,
        (Kind::Sweeten, _) => Why::Sweeten,
        (Kind::Fine, _) => Why::Other,
        _ => Why::Secondary,
    }
}

fn what(step: Kind, item: &recipe::Ingredient) -> What {
    match (step, item.kind) {
        (Kind::Stabilise, _) if item.name.to_lowercase().contains("sorb") => What::Sorbate,
        (Kind::Stabilise, _) => What::Sulfite,
        (_, recipe::Kind::Syrup | recipe::Kind::Malt) => What::Sugar,
        (_, kind) => What::from_word(kind.as_str()).unwrap_or(What::Other),
    }
}

/// The yeast of the recipe, so many grams of it.
pub(super) fn pitch(case: &Case<'_>, grams: Option<f64>) -> Pitch {
    let mut yeasts = case.opened.recipe.yeasts.iter();
    let yeast = yeasts.find(|yeast| yeast.when == recipe::YeastWhen::Pitch);
    let woken = case.opened.entries.iter().any(|entry| {
        matches!(&entry.deed, Deed::Step(step)
            if step.step == "rehydrate" && step.is == Became::Done)
    });
    Pitch {
        name: yeast.map(|yeast| yeast.name.clone()),
        yeast_g: grams,
        tolerance_abv_percent: None,
        rehydrated: woken.then_some(true),
    }
}

/// The second yeast of the step.
pub(super) fn later_yeast(case: &Case<'_>) -> Option<Pitch> {
    let named = case.step.amounts.iter().find_map(|amount| match amount {
        Amount::YeastByPacket { name } => Some(name),
        _ => None,
    })?;
    let mut yeasts = case.opened.recipe.yeasts.iter();
    let yeast = yeasts.find(|yeast| &yeast.name == named);
    Some(Pitch {
        name: Some(named.clone()),
        tolerance_abv_percent: yeast.map(|yeast| yeast.tolerance_abv_percent),
        ..Pitch::default()
    })
}
