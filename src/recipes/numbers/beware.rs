//! Beside which number each caution stands, and which come first.

use super::method::Number;
use super::{AmountLine, CautionLine, Note, NumbersView};
use crate::catalogue::catalogue;
use crate::engine::formulation::{Formulation, Line};
use crate::engine::problem::{CautionCode as Code, Severity};
use crate::engine::recipe::{Recipe, When};
use crate::web::units::Units;
use crate::web::words::{Words, caution_sentence};

/// How many cautions are in view at the top.
const IN_VIEW: usize = 3;

/// Where a caution belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Beside a number.
    Beside(Number),
    /// Beside the ingredient that it names.
    Ingredient,
}

/// When what a caution warns of can happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// On mixing day.
    Tonight,
    /// While it ferments.
    Working,
    /// Afterwards, and in the bottle.
    Later,
}

/// The number that gives rise to a caution. Every code has one.
pub fn place(code: Code) -> Place {
    match code {
        Code::LittleHeadroom => Place::Beside(Number::Strength),
        Code::MustBeStoppedByHand | Code::EndsAtYeastLimit => Place::Beside(Number::End),
        Code::VeryStrongMust => Place::Beside(Number::Start),
        Code::StabiliseBeforeBottling => Place::Beside(Number::Sweetness),
        Code::CarbonDioxide => Place::Beside(Number::Gas),
        Code::OutsideYeastTemperature => Place::Beside(Number::Yeast),
        Code::MuchOrganicFeed
        | Code::AmmoniumCeiling
        | Code::FeedBeyond
        | Code::NoFeed
        | Code::StirBeforeFeeding => Place::Beside(Number::Feeding),
        Code::VesselTooSmall | Code::FoamMayOverflow => Place::Beside(Number::Vessel),
        Code::SecondaryCanFerment
        | Code::AcidNotCounted
        | Code::AcidBeforeFermenting
        | Code::SweeteningUnused
        | Code::FillerAmountUnused
        | Code::HotPepper
        | Code::FruitStones
        | Code::RawElderberry
        | Code::HotHoney => Place::Ingredient,
    }
}

/// When what a caution warns of can happen: of two that weigh the same, the one that comes sooner is said first.
pub fn moment(code: Code) -> Moment {
    match code {
        Code::HotHoney
        | Code::HotPepper
        | Code::FruitStones
        | Code::RawElderberry
        | Code::AcidBeforeFermenting
        | Code::VesselTooSmall
        | Code::FoamMayOverflow
        | Code::OutsideYeastTemperature
        | Code::VeryStrongMust
        | Code::FillerAmountUnused
        | Code::AcidNotCounted => Moment::Tonight,
        Code::CarbonDioxide
        | Code::StirBeforeFeeding
        | Code::NoFeed
        | Code::MuchOrganicFeed
        | Code::AmmoniumCeiling
        | Code::FeedBeyond => Moment::Working,
        Code::StabiliseBeforeBottling
        | Code::MustBeStoppedByHand
        | Code::EndsAtYeastLimit
        | Code::LittleHeadroom
        | Code::SecondaryCanFerment
        | Code::SweeteningUnused => Moment::Later,
    }
}

/// Where on the page a caution stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Spot {
    Note(Number),
    /// A line of what goes in, by its place in the formulation.
    Line(usize),
    /// Nowhere: the number is not shown.
    Loose,
}

struct Placed {
    severity: Severity,
    moment: Moment,
    spot: Spot,
    words: Words,
}

/// Puts every caution beside its number, and the first few on top. Those whose number is not shown stand by themselves.
pub(super) fn place_all(
    view: &mut NumbersView,
    recipe: &Recipe,
    numbers: &Formulation,
    units: Units,
) {
    let mut all = of_the_engine(numbers, units);
    all.extend(of_the_catalogue(recipe, numbers));
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
        };
        let into = match placed.spot {
            Spot::Note(number) => {
                note_of(view, number).map(|note| (note.label.to_owned(), &mut note.cautions))
            }
            Spot::Line(at) => {
                amount_of(view, at).map(|amount| (amount.name.clone(), &mut amount.cautions))
            }
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

fn of_the_engine(numbers: &Formulation, units: Units) -> Vec<Placed> {
    let mut taken: Vec<(Code, usize)> = Vec::new();
    let mut placed = Vec::with_capacity(numbers.cautions.len());
    for caution in &numbers.cautions {
        let spot = match place(caution.code) {
            Place::Beside(number) => Spot::Note(number),
            Place::Ingredient => {
                let name = caution.arguments.text("name").unwrap_or_default();
                match line_named(numbers, name, caution.code, &taken) {
                    Some(at) => {
                        taken.push((caution.code, at));
                        Spot::Line(at)
                    }
                    None => Spot::Loose,
                }
            }
        };
        let arguments = serde_json::to_value(&caution.arguments).unwrap_or_default();
        placed.push(Placed {
            severity: caution.severity,
            moment: moment(caution.code),
            spot,
            words: caution_sentence(caution.code.as_str(), &arguments, units),
        });
    }
    placed
}

/// The line of that name: one that goes in when the caution means it, and that does not bear the same caution yet.
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
    let named: Vec<(usize, &Line)> = numbers
        .ingredients
        .iter()
        .enumerate()
        .filter(|(_, line)| line.name == name)
        .collect();
    let free = |at: usize| !taken.contains(&(code, at));
    let best = named
        .iter()
        .find(|(at, line)| free(*at) && meant(line))
        .or_else(|| named.iter().find(|(at, _)| free(*at)))
        .or_else(|| named.first());
    best.map(|(at, _)| *at)
}

/// What the catalogue says of what is in the recipe that can hurt somebody.
fn of_the_catalogue(recipe: &Recipe, numbers: &Formulation) -> Vec<Placed> {
    let said = |name: &str, sentence: &str, spot: Spot| Placed {
        severity: Severity::Watch,
        moment: Moment::Tonight,
        spot,
        words: Words {
            lead: format!("About {name}"),
            sentence: sentence.to_owned(),
        },
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
            let caution = catalogue().find(item.key.as_deref()?)?.caution.as_ref()?;
            Some(said(&item.name, caution, line_of(index)))
        });
    let yeasts = recipe.yeasts.iter().filter_map(|yeast| {
        let entry = catalogue().find_yeast(yeast.key.as_deref()?)?;
        Some(said(
            &yeast.name,
            entry.caution.as_ref()?,
            Spot::Note(Number::Yeast),
        ))
    });
    let feeds = recipe.nutrients.iter().filter_map(|feed| {
        let entry = catalogue().find_feed(feed.key.as_deref()?)?;
        Some(said(
            &feed.name,
            entry.caution.as_ref()?,
            Spot::Note(Number::Feeding),
        ))
    });
    items.chain(yeasts).chain(feeds).collect()
}
