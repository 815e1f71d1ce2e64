//! What is told of a swap: the sentence that leads, what changes, the taste, and what to beware of.

use super::Place;
use super::taste::{self, Taste};
use crate::catalogue::item::Item;
use crate::engine::recipe::Recipe;
use crate::recipes::compare::{Change, Compared, Side, compare};
use crate::recipes::forms::Group;
use crate::recipes::numbers::{FeedLine, ProblemLine, Reader, listed};
use crate::recipes::workbench::Worked;

/// All of it.
#[derive(Clone, Debug, Default)]
pub struct Told {
    pub lead: String,
    pub compared: Compared,
    pub taste: Taste,
    /// The plan of the feeding, where it changes.
    pub feeds: Vec<FeedLine>,
    pub problems: Vec<ProblemLine>,
    /// Whether there are numbers to compare.
    pub counted: bool,
}

/// Name and key of a thing.
#[derive(Clone, Debug, Default)]
struct Named {
    name: String,
    key: Option<String>,
}

/// What stands at a place.
fn thing_at(worked: &Worked, place: &Place) -> Option<Named> {
    let recipe: &Recipe = &worked.checked.recipe;
    let at = worked.checked.place_of(place.group, &place.key)?;
    let (name, key) = match place.group {
        Group::Honey | Group::Other => {
            let item = recipe.ingredients.get(at)?;
            (&item.name, &item.key)
        }
        Group::Yeast => {
            let yeast = recipe.yeasts.get(at)?;
            (&yeast.name, &yeast.key)
        }
        Group::Feed => {
            let feed = recipe.nutrients.get(at)?;
            (&feed.name, &feed.key)
        }
        Group::Step | Group::Salt => return None,
    };
    Some(Named {
        name: name.clone(),
        key: key.clone(),
    })
}

/// What the catalogue has of it.
fn entry<'a>(reader: &'a Reader, thing: &Named) -> Option<Item<'a>> {
    reader.catalogue.item(thing.key.as_deref()?)
}

/// What the swap at a place does.
pub fn told(place: &Place, before: &Worked, after: &Worked, reader: &Reader) -> Told {
    let units = reader.units;
    let was = thing_at(before, place).unwrap_or_default();
    let is = thing_at(after, place).unwrap_or_default();
    let compared = compare(&Side::of(before), &Side::of(after), units);
    let mut taste = taste::taste(entry(reader, &was), entry(reader, &is), units);
    if let Some(Item::Ingredient(entry)) = entry(reader, &is) {
        let now = taste::amount(entry, dose(after, place), units);
        taste.said.extend(now);
    }
    Told {
        lead: lead(&was.name, &is.name, &compared),
        feeds: match compared.feeding.is_empty() {
            true => Vec::new(),
            false => after.view.feeds.clone(),
        },
        problems: after.view.problems.clone(),
        counted: before.counted && after.counted,
        compared,
        taste,
    }
}

/// Grams of it in a litre of must.
fn dose(worked: &Worked, place: &Place) -> Option<f64> {
    let at = worked.checked.place_of(place.group, &place.key)?;
    let volume = worked.numbers.whole.as_ref()?.volume_l;
    let lines = worked.numbers.ingredients.iter();
    let kg: Option<f64> = lines
        .filter(|line| line.index == at)
        .map(|line| line.kg)
        .sum();
    Some(kg? * 1000.0 / volume)
}

/// "Clover honey in place of orange blossom honey: strength, start and end stay."
fn lead(was: &str, is: &str, compared: &Compared) -> String {
    let leading = ["strength", "start", "end", "sweetness"];
    let moved: Vec<String> = compared
        .numbers
        .iter()
        .filter(|change| leading.contains(&change.label.as_str()))
        .map(
            |Change {
                 label,
                 before,
                 after,
             }| format!("{label} goes from {before} to {after}"),
        )
        .collect();
    let stays = match compared.stays.as_slice() {
        [] => None,
        [one] => Some(format!("{one} stays")),
        some => Some(format!("{} stay", listed(some))),
    };
    let parts: Vec<String> = moved.into_iter().chain(stays).collect();
    match parts.as_slice() {
        [] => format!("{is} in place of {was}."),
        parts => format!("{is} in place of {was}: {}.", parts.join("; ")),
    }
}
