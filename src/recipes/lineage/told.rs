//! A step of a lineage in one line: what leads from one document to the next.

use serde_json::Value;

use crate::engine::{self, Formulation, Recipe, Settings};
use crate::recipes::compare::{Change, Side, amounts_beside, moved};
use crate::recipes::forms::check::stored;
use crate::recipes::numbers::{NumbersView, Reader, view};

/// Changes that one line names.
const NAMED: usize = 4;
/// The numbers that a line of a lineage tells, by their labels, before the amounts.
const FIRST: [&str; 4] = ["strength", "start", "end", "sweetness"];

/// A document with its numbers.
pub(super) struct Reckoned {
    recipe: Recipe,
    numbers: Formulation,
    view: NumbersView,
}

impl Reckoned {
    /// None where the document does not read.
    pub fn of(document: &Value, reader: &Reader) -> Option<Reckoned> {
        let recipe = stored(document)?;
        let settings = Settings {
            sachet_g: reader.sachet_g,
        };
        let numbers = engine::formulate(&recipe, &settings);
        let view = view(&recipe, &numbers, reader);
        Some(Reckoned {
            recipe,
            numbers,
            view,
        })
    }

    fn side(&self) -> Side<'_> {
        Side {
            recipe: &self.recipe,
            numbers: &self.numbers,
            view: &self.view,
        }
    }
}

/// "Strength from 13 % to 11 %, Clover honey from 5.2 kg to 4.4 kg, and 2 more."
pub(super) fn in_a_line(before: &Reckoned, after: &Reckoned) -> String {
    let is_first = |change: &Change| FIRST.contains(&change.label.as_str());
    let numbers = moved(&before.view, &after.view);
    let amounts = amounts_beside(&before.side(), &after.side());
    let amounts = amounts.into_iter().filter(Change::changes);
    let (first, others): (Vec<Change>, Vec<Change>) = numbers.into_iter().partition(is_first);
    let all: Vec<String> = first
        .into_iter()
        .chain(amounts)
        .chain(others)
        .map(|change| words(&change))
        .collect();
    let more = all.len().saturating_sub(NAMED);
    let mut named: Vec<String> = all.into_iter().take(NAMED).collect();
    if more > 0 {
        named.push(format!("and {more} more"));
    }
    match (named.is_empty(), before.recipe == after.recipe) {
        (false, _) => format!("{}.", named.join(", ")),
        (true, true) => "As it was.".to_owned(),
        (true, false) => "Only words: amounts and numbers stay.".to_owned(),
    }
}

fn words(change: &Change) -> String {
    let Change {
        label,
        before,
        after,
    } = change;
    match (before.as_str(), after.as_str()) {
        ("none", after) => format!("{label} {after} comes in"),
        (before, "none") => format!("{label} {before} goes out"),
        (before, after) => format!("{label} from {before} to {after}"),
    }
}
