//! A revision of a recipe as it stands on a tasting list: strength, sweetness and allergens by its numbers.

use super::model::Brought;
use crate::engine::problem::CautionCode;
use crate::engine::{Formulation, Settings, formulate};
use crate::recipes::forms::check::stored;
use crate::recipes::model::Revision;

/// The revision under its own title.
pub fn of_revision(revision: &Revision, settings: &Settings) -> Brought {
    let numbers = stored(&revision.document).map(|recipe| formulate(&recipe, settings));
    let finished = numbers
        .as_ref()
        .and_then(|numbers| numbers.finished.as_ref());
    Brought {
        words: revision.title.clone(),
        recipe: Some((revision.recipe.to_string(), revision.number)),
        abv_percent: finished.map(|finished| finished.abv_percent),
        fg: finished.map(|finished| finished.fg),
        allergens: numbers.as_ref().map(allergens_of).unwrap_or_default(),
        beware: String::new(),
    }
}

/// The allergens that the numbers of a recipe beware of.
fn allergens_of(numbers: &Formulation) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for caution in &numbers.cautions {
        if caution.code != CautionCode::Allergen {
            continue;
        }
        let told = serde_json::to_value(&caution.arguments).unwrap_or_default();
        let named = told.get("allergen").and_then(|value| value.as_str());
        if let Some(allergen) = named.filter(|named| !found.iter().any(|known| known == named)) {
            found.push(allergen.to_owned());
        }
    }
    found
}
