//! Beside which number each caution stands, and which come first.

mod places;

use super::method::Number;
use super::{AmountLine, CautionLine, Note, NumbersView, Reader};
use crate::catalogue::club::ClubCatalogue;
use crate::engine::formulation::{Formulation, Line};
use crate::engine::problem::{CautionCode as Code, Severity};
use crate::engine::recipe::{Kind, Recipe, When};
use crate::safety::{self, place_of};
use crate::web::units::Units;
use crate::web::words::{Words, caution_sentence};

pub use places::{Moment, Place, moment, place};

/// How many cautions are in view at the top.
const IN_VIEW: usize = 3;

/// Where on the page a caution stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Spot {
    Note(Number),
    /// A line of what goes in, by its place in the formulation.
    Line(usize),
    /// The line of the water.
    Water,
    /// Nowhere: the number is not shown.
    Loose,
}

struct Placed {
    severity: Severity,
    moment: Moment,
    spot: Spot,
    words: Words,
    /// Where more is said of it, below the base.
    safety: Option<String>,
}

/// Puts every caution beside its number, and the first few on top. Those whose number is not shown stand by themselves.
pub(super) fn place_all(
    view: &mut NumbersView,
    recipe: &Recipe,
    numbers: &Formulation,
    reader: &Reader,
) {
    let mut all = of_the_engine(recipe, numbers, reader.units);
    all.extend(of_the_catalogue(recipe, numbers, &reader.catalogue));
    all.sort_by_key(|placed| (std::cmp::Reverse(placed.severity), placed.moment));
    for (at, placed) in all.into_iter().enumerate() {
        let mut line = CautionLine {
            id: format!("beware-{}", at + 1),
            class: match placed.severity {
                Severity::Danger => "danger",
                Severity::Watch => "watch",
                Severity::Note => "",
            },
            words: placed.words,
            beside: String::new(),
            safety: placed.safety,
        };
        let spot = match placed.spot {
            // Beside a note that is not there: what the water brings stands with the water.
            Spot::Note(Number::Water | Number::Minerals)
                if note_of(view, Number::Minerals).is_none() =>
            {
                Spot::Water
            }
            Spot::Note(Number::Water) => Spot::Water,
            spot => spot,
        };
        let into = match spot {
            Spot::Note(number) => {
                note_of(view, number).map(|note| (note.label.to_owned(), &mut note.cautions))
            }
            Spot::Line(at) => {
                amount_of(view, at).map(|amount| (amount.name.clone(), &mut amount.cautions))
            }
            Spot::Water => view
                .amounts
                .iter_mut()
                .find(|line| line.at.is_none())
                .map(|water| (water.name.clone(), &mut water.cautions)),
            Spot::Loose => None,
        };
        match into {
            Some((beside, cautions)) => {
                line.beside = beside;
                cautions.push(line.clone());
            }
            None => view.loose_cautions.push(line.clone()),
        }
        match at < IN_VIEW {
            true => view.cautions.push(line),
            false => view.more_cautions.push(line),
        }
    }
}

fn note_of(view: &mut NumbersView, number: Number) -> Option<&mut Note> {
    let notes = view.notes.iter_mut().chain(view.fed.as_mut());
    notes.into_iter().find(|note| note.number == number)
}

fn amount_of(view: &mut NumbersView, at: usize) -> Option<&mut AmountLine> {
    view.amounts.iter_mut().find(|line| line.at == Some(at))
}

fn of_the_engine(recipe: &Recipe, numbers: &Formulation, units: Units) -> Vec<Placed> {
    let mut taken: Vec<(Code, usize)> = Vec::new();
    let mut placed = Vec::with_capacity(numbers.cautions.len());
    for caution in &numbers.cautions {
        let spot = match place(caution.code) {
            Place::Beside(number) => Spot::Note(number),
            Place::Named => {
                let name = caution.arguments.text("name").unwrap_or_default();
                match line_named(numbers, name, caution.code, &taken) {
                    Some(at) => {
                        taken.push((caution.code, at));
                        Spot::Line(at)
                    }
                    None => elsewhere(recipe, name),
                }
            }
            Place::First(kind) => first_of(recipe, numbers, kind),
            Place::Calculation => Spot::Loose,
        };
        let arguments = serde_json::to_value(&caution.arguments).unwrap_or_default();
        placed.push(Placed {
            severity: caution.severity,
            moment: moment(caution.code),
            spot,
            words: caution_sentence(caution.code.as_str(), &arguments, units),
            safety: place_of(caution.code).map(safety::Place::path),
        });
    }
    placed
}

/// A name that is no ingredient's is that of a yeast or of a feed.
fn elsewhere(recipe: &Recipe, name: &str) -> Spot {
    let is_yeast = recipe.yeasts.iter().any(|yeast| yeast.name == name);
    let is_feed = recipe.nutrients.iter().any(|feed| feed.name == name);
    match (is_yeast, is_feed) {
        (true, _) => Spot::Note(Number::Yeast),
        (_, true) => Spot::Note(Number::Feeding),
        _ => Spot::Loose,
    }
}

/// The first line of that kind that goes in before or while it ferments.
fn first_of(recipe: &Recipe, numbers: &Formulation, kind: Kind) -> Spot {
    let at = numbers.ingredients.iter().position(|line| {
        let item = recipe.ingredients.get(line.index);
        matches!(line.when, When::Must | When::Primary)
            && item.is_some_and(|item| item.kind == kind)
            && line.kg.is_none_or(|kg| kg > 0.0)
    });
    at.map_or(Spot::Loose, Spot::Line)
}

/// The line of that name: one that goes in when the caution means it, and that does not bear the same caution yet. Of
/// several names together the first counts.
fn line_named(
    numbers: &Formulation,
    name: &str,
    code: Code,
    taken: &[(Code, usize)],
) -> Option<usize> {
    let meant = |line: &Line| match code {
        Code::SecondaryCanFerment => matches!(line.when, When::Secondary | When::Ageing),
        Code::SweeteningUnused => line.when == When::Sweeten,
        Code::AcidBeforeFermenting => matches!(line.when, When::Must | When::Primary),
        _ => true,
    };
    let is_named = |line: &Line, whole: bool| match whole {
        true => line.name == name,
        false => name
            .strip_prefix(&line.name)
            .is_some_and(|rest| rest.starts_with(", ")),
    };
    let free = |at: usize| !taken.contains(&(code, at));
    let lines = || numbers.ingredients.iter().enumerate();
    [true, false].into_iter().find_map(|whole| {
        let named = || lines().filter(|(_, line)| is_named(line, whole));
        named()
            .find(|(at, line)| free(*at) && meant(line))
            .or_else(|| named().find(|(at, _)| free(*at)))
            .or_else(|| named().next())
            .map(|(at, _)| at)
    })
}

/// What the catalogue says of what is in the recipe that can hurt somebody.
fn of_the_catalogue(
    recipe: &Recipe,
    numbers: &Formulation,
    catalogue: &ClubCatalogue,
) -> Vec<Placed> {
    let said = |name: &str, sentence: &str, spot: Spot| Placed {
        severity: Severity::Watch,
        moment: Moment::Tonight,
        spot,
        words: Words {
            lead: format!("About {name}"),
            sentence: sentence.to_owned(),
        },
        safety: None,
    };
    let line_of = |index: usize| {
        let at = numbers
            .ingredients
            .iter()
            .position(|line| line.index == index);
        at.map_or(Spot::Loose, Spot::Line)
    };
    let items = recipe
        .ingredients
        .iter()
        .enumerate()
        .filter_map(|(index, item)| {
            let caution = catalogue.find(item.key.as_deref()?)?.caution.as_ref()?;
            Some(said(&item.name, caution, line_of(index)))
        });
    let yeasts = recipe.yeasts.iter().filter_map(|yeast| {
        let entry = catalogue.find_yeast(yeast.key.as_deref()?)?;
        Some(said(
            &yeast.name,
            entry.caution.as_ref()?,
            Spot::Note(Number::Yeast),
        ))
    });
    let feeds = recipe.nutrients.iter().filter_map(|feed| {
        let entry = catalogue.find_feed(feed.key.as_deref()?)?;
        Some(said(
            &feed.name,
            entry.caution.as_ref()?,
            Spot::Note(Number::Feeding),
        ))
    });
    items.chain(yeasts).chain(feeds).collect()
}
