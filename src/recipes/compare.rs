//! What a change does to the numbers: before and after, in the words of the sheet, and only what changes.

use std::collections::BTreeMap;

use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Nutrient, Recipe, When};
use crate::recipes::numbers::method::Number;
use crate::recipes::numbers::{AmountLine, CautionLine, Note, NumbersView};
use crate::recipes::pairs::pair_up;
use crate::recipes::workbench::Worked;
use crate::web::units::{self, Units};

/// One thing that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    pub label: String,
    pub before: String,
    pub after: String,
}

impl Change {
    /// A change, if it is one to whoever reads it.
    pub fn between(
        label: impl Into<String>,
        before: impl Into<String>,
        after: impl Into<String>,
    ) -> Option<Change> {
        let (before, after) = (before.into(), after.into());
        (before != after).then(|| Change {
            label: label.into(),
            before: or_none(before),
            after: or_none(after),
        })
    }
}

impl Change {
    /// Whether both sides differ.
    pub fn changes(&self) -> bool {
        self.before != self.after
    }
}

fn or_none(text: String) -> String {
    match text.as_str() {
        "" => "none".to_owned(),
        _ => text,
    }
}

/// A recipe with its numbers and what a page says of them.
pub struct Side<'a> {
    pub recipe: &'a Recipe,
    pub numbers: &'a Formulation,
    pub view: &'a NumbersView,
}

impl<'a> Side<'a> {
    /// A form that was reckoned.
    pub fn of(worked: &'a Worked) -> Side<'a> {
        Side {
            recipe: &worked.checked.recipe,
            numbers: &worked.numbers,
            view: &worked.view,
        }
    }
}

/// All that changes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Compared {
    pub numbers: Vec<Change>,
    pub amounts: Vec<Change>,
    pub feeding: Vec<Change>,
    /// Of strength, start, end and sweetness those that stay.
    pub stays: Vec<&'static str>,
    /// Cautions that were not there before, and those that are there no more.
    pub new: Vec<CautionLine>,
    pub gone: Vec<CautionLine>,
}

/// The numbers that a maker asks about, in that order; the first four are told also where they stay.
const ASKED: [Number; 11] = [
    Number::Strength,
    Number::Start,
    Number::End,
    Number::Sweetness,
    Number::Acidity,
    Number::Yeast,
    Number::Vessel,
    Number::Bottles,
    Number::Ready,
    Number::Style,
    Number::Cost,
];
const LEADING: [Number; 4] = [
    Number::Strength,
    Number::Start,
    Number::End,
    Number::Sweetness,
];

/// Compares a recipe with another, such as the same one after a change.
pub fn compare(before: &Side<'_>, after: &Side<'_>, units: Units) -> Compared {
    let mut compared = Compared {
        amounts: amounts(before, after),
        feeding: feeding(before, after, units),
        new: missing(before.view, after.view),
        gone: missing(after.view, before.view),
        ..Compared::default()
    };
    for number in ASKED {
        let (was, is) = (note(before.view, number), note(after.view, number));
        let label = was.or(is).map_or("", |note| note.label);
        let told = |note| told(note).unwrap_or_else(|| "not known".to_owned());
        match Change::between(label, told(was), told(is)) {
            Some(change) => compared.numbers.push(change),
            None if LEADING.contains(&number) && was.is_some() => compared.stays.push(label),
            None => {}
        }
    }
    compared
}

/// The numbers that move, as figures alone.
pub fn moved(before: &NumbersView, after: &NumbersView) -> Vec<Change> {
    let figure = |view: &NumbersView, number: Number| match note(view, number) {
        Some(note) if number == Number::Sweetness => format!("{} {}", note.strong, note.words),
        Some(note) => note.strong.clone(),
        None => "not known".to_owned(),
    };
    let change = |number: &Number| {
        let label = note(before, *number).or(note(after, *number))?.label;
        Change::between(label, figure(before, *number), figure(after, *number))
    };
    ASKED.iter().filter_map(change).collect()
}

fn note(view: &NumbersView, number: Number) -> Option<&Note> {
    view.notes.iter().find(|note| note.number == number)
}

/// What a note says: of the sweetness its word too.
fn told(note: Option<&Note>) -> Option<String> {
    note.map(|note| match note.number {
        Number::Sweetness | Number::Yeast | Number::Acidity => {
            format!("{} {}", note.strong, note.words)
        }
        _ => note.strong.clone(),
    })
}

/// What tells a line of what goes in from the others: its place and time, or the word of what is no ingredient.
fn place_of(side: &Side<'_>, line: &AmountLine) -> (Option<(usize, When)>, String) {
    match line.at.and_then(|at| side.numbers.ingredients.get(at)) {
        Some(of) => (Some((of.index, of.when)), String::new()),
        None => (None, line.key.clone()),
    }
}

/// What goes in on both sides, line by line, also what stays: first by name and time, then by place.
pub fn amounts_beside(before: &Side<'_>, after: &Side<'_>) -> Vec<Change> {
    let when = |side: &Side<'_>, line: &AmountLine| place_of(side, line).0.map(|(_, when)| when);
    let (was, is) = (&before.view.amounts, &after.view.amounts);
    type Two<'a> = (usize, &'a AmountLine);
    let named =
        |a: Two<'_>, b: Two<'_>| a.1.name == b.1.name && when(before, a.1) == when(after, b.1);
    let placed = |a: Two<'_>, b: Two<'_>| place_of(before, a.1) == place_of(after, b.1);
    let pairs = pair_up(was, is, &[&named, &placed]);
    let change = |(at, to): (Option<usize>, Option<usize>)| {
        let (old, new) = (at.and_then(|at| was.get(at)), to.and_then(|to| is.get(to)));
        let name = old.or(new)?.name.clone();
        let amount = |line: Option<&AmountLine>| match line {
            Some(line) if line.name != name => format!("{} of {}", line.amount, line.name),
            Some(line) => line.amount.clone(),
            None => "none".to_owned(),
        };
        let times = [
            old.map(|line| when(before, line)),
            new.map(|line| when(after, line)),
        ];
        let sweetens = times
            .into_iter()
            .flatten()
            .any(|at| at == Some(When::Sweeten));
        Some(Change {
            before: amount(old),
            after: amount(new),
            label: match sweetens {
                true => format!("{name}, to sweeten"),
                false => name.clone(),
            },
        })
    };
    pairs.into_iter().filter_map(change).collect()
}

fn amounts(before: &Side<'_>, after: &Side<'_>) -> Vec<Change> {
    let mut lines = amounts_beside(before, after);
    lines.retain(Change::changes);
    lines
}

/// Grams of each feed over the whole plan, by its place in the recipe.
pub fn feeding(before: &Side<'_>, after: &Side<'_>, units: Units) -> Vec<Change> {
    let grams = |side: &Side<'_>| {
        let mut all: BTreeMap<usize, f64> = BTreeMap::new();
        let additions = side.numbers.feeding.iter().flat_map(|plan| &plan.additions);
        for gift in additions {
            *all.entry(gift.index).or_default() += gift.grams;
        }
        all
    };
    let (was, is) = (grams(before), grams(after));
    let (old, new) = (&before.recipe.nutrients, &after.recipe.nutrients);
    type Two<'a> = (usize, &'a Nutrient);
    let named = |a: Two<'_>, b: Two<'_>| a.1.name == b.1.name;
    let placed = |a: Two<'_>, b: Two<'_>| a.0 == b.0;
    let shown = |grams: Option<&f64>| match grams.copied().unwrap_or_default() {
        grams if grams > 0.0 => units::mass(grams / 1000.0, units),
        _ => "none".to_owned(),
    };
    let change = |(at, to): (Option<usize>, Option<usize>)| {
        let feed = |list: &[Nutrient], at: Option<usize>| Some(list.get(at?)?.name.clone());
        let (left, right) = (feed(old, at), feed(new, to));
        let name = left.clone().or(right.clone())?;
        let given = shown(to.and_then(|to| is.get(&to)));
        let given = match right {
            Some(right) if right != name => format!("{given} of {right}"),
            _ => given,
        };
        Change::between(name, shown(at.and_then(|at| was.get(&at))), given)
    };
    let pairs = pair_up(old, new, &[&named, &placed]).into_iter();
    let mut changes: Vec<Change> = pairs.filter_map(change).collect();
    let nitrogen = |side: &Side<'_>| {
        let fed = side.view.fed.as_ref();
        fed.map(|fed| fed.strong.clone()).unwrap_or_default()
    };
    changes.extend(Change::between(
        "nitrogen in all",
        nitrogen(before),
        nitrogen(after),
    ));
    changes
}

/// Cautions of `there` that `here` has not as often, by what leads them: their figures move with every amount.
fn missing(here: &NumbersView, there: &NumbersView) -> Vec<CautionLine> {
    let all = |view: &NumbersView| {
        let cautions = view.cautions.iter().chain(&view.more_cautions);
        cautions.cloned().collect::<Vec<_>>()
    };
    let mut known: Vec<String> = all(here).into_iter().map(|line| line.words.lead).collect();
    let mut found = all(there);
    found.retain(|line| {
        let at = known.iter().position(|lead| *lead == line.words.lead);
        at.map(|at| known.swap_remove(at)).is_none()
    });
    found
}
