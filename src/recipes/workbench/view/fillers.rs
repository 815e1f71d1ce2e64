//! What may fill up: water, an ingredient of the recipe, and what was chosen though it is gone.

use crate::catalogue::club::ClubCatalogue;
use crate::recipes::forms::{Group, Workbench, filler_parts, filler_value};

/// Value and words of each choice.
pub(super) fn choices(form: &Workbench, catalogue: &ClubCatalogue) -> Vec<(String, String)> {
    let mut choices = vec![("water".to_owned(), "water".to_owned())];
    let (word, name) = filler_parts(form.text("filler"));
    for group in [Group::Honey, Group::Other] {
        // A honey is no choice, unless the recipe came with it.
        let offered = |key: &str| group == Group::Other || form.fills_up(group, key);
        for row in form.rows(group).iter().filter(|row| offered(&row.key)) {
            if let Some(name) = row.called(catalogue) {
                choices.push((filler_value(group, &row.key, &name), name));
            }
        }
    }
    if !word.is_empty()
        && !choices
            .iter()
            .any(|(value, _)| filler_parts(value).0 == word)
    {
        let words = match name {
            "" => "something that is gone",
            name => name,
        };
        choices.push((form.text("filler").to_owned(), words.to_owned()));
    }
    choices
}

/// The value of the choice that was made.
pub(super) fn chosen(form: &Workbench, choices: &[(String, String)]) -> String {
    let word = filler_parts(form.text("filler")).0;
    choices
        .iter()
        .find(|(value, _)| filler_parts(value).0 == word)
        .map(|(value, _)| value.clone())
        .unwrap_or_default()
}
