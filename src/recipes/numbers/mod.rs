//! The numbers as pages show them: a sentence, amounts, margin notes, feeding, cautions, the ladder.

pub mod beware;
pub mod fall;
mod goes_in;
mod lead;
pub mod method;
pub mod notes;
pub mod shopping;
pub mod spoons;
pub mod steps;
pub mod summary;
pub mod tools;

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};

use crate::catalogue::catalogue;
use crate::catalogue::club::ClubCatalogue;
use crate::cupboard::stock::Stock;
use crate::engine::formulation::Formulation;
use crate::engine::problem::Problem;
use crate::engine::recipe::{Recipe, When};
use crate::engine::scaling::Rounded;
use crate::engine::water::Salt;
use crate::vessels::Vessel;
use crate::web::units::{self, Units};
use crate::web::words::{Words, problem_sentence_at};

pub(in crate::recipes) use lead::months_to_drink;

use fall::FallRow;
use goes_in::{amounts, feeding_note, feeds};
use method::{Material, Number};

pub use lead::called;
pub use method::Method;
pub use notes::Note;

/// A stretch of a sentence; a figure in it leads to how it is reckoned.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub text: String,
    /// Where that is told on the page, or empty.
    pub href: String,
}

impl Piece {
    /// Words without a figure of the recipe.
    pub fn said(text: impl Into<String>) -> Piece {
        Piece {
            text: text.into(),
            href: String::new(),
        }
    }

    /// A figure.
    pub fn figure(number: Number, text: impl Into<String>) -> Piece {
        Piece {
            text: text.into(),
            href: number.href(),
        }
    }
}

/// One line of what goes in.
#[derive(Clone, Debug, PartialEq)]
pub struct AmountLine {
    /// Its place in the formulation; water has none.
    pub at: Option<usize>,
    /// Its word in ids.
    pub key: String,
    pub name: String,
    pub detail: String,
    pub amount: String,
    /// Its page in the catalogue, or on the shelf, below the base.
    pub entry: Option<String>,
    /// The amount before it was rounded, where that shows.
    pub exact: String,
    pub solved: bool,
    /// Whether there is any of it.
    pub goes_in: bool,
    pub methods: Vec<Method>,
    pub cautions: Vec<CautionLine>,
}

/// What to give at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedLine {
    pub when: String,
    pub detail: String,
    /// Amount and feed.
    pub gifts: Vec<(String, String)>,
    /// What to do when it was missed, where that differs from dose to dose.
    pub missed: String,
}

/// A caution in words.
#[derive(Clone, Debug, PartialEq)]
pub struct CautionLine {
    /// Where it stands on the page.
    pub id: String,
    pub class: &'static str,
    pub words: Words,
    /// What it stands beside, or empty.
    pub beside: String,
    /// Where more is said of it, below the base.
    pub safety: Option<String>,
}

/// A problem in words, with the field it belongs to, if any.
#[derive(Clone, Debug, PartialEq)]
pub struct ProblemLine {
    pub field: String,
    pub words: Words,
}

/// Everything a page says about a formulation.
#[derive(Clone, Debug, Default)]
pub struct NumbersView {
    pub lead: Vec<Piece>,
    /// One sentence to be spoken after an edit.
    pub spoken: String,
    pub family: String,
    pub amounts: Vec<AmountLine>,
    pub notes: Vec<Note>,
    /// The note of the feeding: it stands with its plan.
    pub fed: Option<Note>,
    /// The three that come first; each stands beside its number as well.
    pub cautions: Vec<CautionLine>,
    /// The others, which stand beside their numbers.
    pub more_cautions: Vec<CautionLine>,
    /// Those of both whose number is not shown.
    pub loose_cautions: Vec<CautionLine>,
    pub problems: Vec<ProblemLine>,
    pub feeds: Vec<FeedLine>,
    pub feeding_note: &'static str,
    pub ladder: String,
    pub ladder_rows: Vec<FallRow>,
    /// What rounding did to strength and gravity.
    pub rounding: String,
    pub rounding_method: Option<Method>,
    pub links: Links,
}

/// Where the pages about numbers are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Links {
    /// What stands before every address below the base.
    pub base: String,
    /// The page of all methods.
    pub methods: String,
    /// What stands before and after a number's key in the address of its own page; empty where there is none.
    pub own: (String, String),
    /// The recipe's shopping list, or nothing.
    pub shopping: String,
}

impl Links {
    /// The page of a number of this recipe, or nothing.
    pub fn of(&self, key: &str) -> String {
        match self.own.0.as_str() {
            "" => String::new(),
            before => format!("{before}{key}{}", self.own.1),
        }
    }
}

impl NumbersView {
    /// Where on the page the methods are told.
    pub fn told(&self) -> BTreeSet<String> {
        let amounts = self.amounts.iter().flat_map(|line| &line.methods);
        let notes = self.notes.iter().chain(&self.fed);
        let notes = notes.flat_map(|note| &note.methods);
        let rows = self.ladder_rows.iter().flat_map(|row| &row.methods);
        amounts
            .chain(notes)
            .chain(rows)
            .map(|method| format!("#method-{}", method.key))
            .collect()
    }

    /// The same with its ways to the pages about numbers.
    pub fn leading_to(mut self, links: Links) -> NumbersView {
        self.links = links;
        self
    }

    /// What to beware of in the water, its report and its salts.
    pub fn water_cautions(&self) -> Vec<&CautionLine> {
        let note = self
            .notes
            .iter()
            .find(|note| note.number == Number::Minerals);
        let water = self.amounts.iter().find(|line| line.at.is_none());
        let beside_note = note.into_iter().flat_map(|note| &note.cautions);
        let beside_line = water.into_iter().flat_map(|line| &line.cautions);
        beside_note.chain(beside_line).collect()
    }

    /// Whether the line of the feeding plan at this place says the same as the one before.
    pub fn told_before(&self, place: &usize) -> bool {
        let detail = |at: usize| self.feeds.get(at).map(|line| &line.detail);
        *place > 0 && detail(*place) == detail(*place - 1)
    }
}

impl NumbersView {
    /// Whether what to do about a missed dose is what it is for the one before: paper tells it once.
    pub fn missed_before(&self, place: &usize) -> bool {
        let missed = |at: usize| self.feeds.get(at).map(|line| &line.missed);
        *place > 0 && missed(*place) == missed(*place - 1)
    }
}

/// For whom and when the numbers are shown.
#[derive(Clone, Debug)]
pub struct Reader {
    pub units: Units,
    pub zone: chrono_tz::Tz,
    pub now: DateTime<Utc>,
    /// Grams in a sachet of yeast.
    pub sachet_g: f64,
    /// What the reader's club has in its catalogue.
    pub catalogue: ClubCatalogue,
    /// What the reader has at home.
    pub cupboard: Stock,
    /// The reader's own vessels, in use and out of it.
    pub vessels: Vec<Vessel>,
}

impl Reader {
    /// The day it is where the reader lives.
    pub fn today(&self) -> NaiveDate {
        self.now.with_timezone(&self.zone).date_naive()
    }

    /// The same reader, as if it were that day: everything dated counts from it.
    pub fn on(self, day: NaiveDate) -> Reader {
        let noon = day.and_hms_opt(12, 0, 0).map(|noon| noon.and_utc());
        Reader {
            now: noon.unwrap_or(self.now),
            zone: chrono_tz::UTC,
            ..self
        }
    }
}

/// The numbers as solved.
pub fn view(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> NumbersView {
    shown(&Material {
        recipe,
        numbers,
        exact: numbers,
        reader,
    })
}

/// The numbers with amounts that a scale can weigh, and what the rounding did.
pub fn weighed_view(recipe: &Recipe, rounded: &Rounded, reader: &Reader) -> NumbersView {
    let called = called_as_solved(rounded);
    let material = Material {
        recipe,
        numbers: &called,
        exact: &rounded.exact,
        reader,
    };
    let mut view = shown(&material);
    view.rounding = rounding_words(&rounded.exact, &called);
    view.rounding_method = method::method(Number::Rounding, &material);
    view
}

/// As weighed, but called as solved: a hair of rounding must not turn semi-sweet into dry.
pub fn called_as_solved(rounded: &Rounded) -> Formulation {
    Formulation {
        style: rounded.exact.style.clone(),
        ..rounded.weighed.clone()
    }
}

fn shown(material: &Material<'_>) -> NumbersView {
    let Material {
        recipe,
        numbers,
        reader,
        ..
    } = *material;
    let mut view = NumbersView {
        lead: lead::lead(recipe, numbers, reader),
        family: family_words(numbers),
        amounts: amounts(material),
        notes: notes::all(material),
        fed: notes::feeding(material),
        problems: problems(&numbers.problems, reader.units, |_| None),
        feeds: feeds(material),
        feeding_note: feeding_note(numbers),
        ..NumbersView::default()
    };
    beware::place_all(&mut view, recipe, numbers, reader);
    // What does not go in has a line only where there is something to beware of.
    view.amounts
        .retain(|line| line.goes_in || !line.cautions.is_empty());
    if let Some(mut fall) = fall::ladder(recipe, numbers) {
        view.ladder_rows = fall::rows(&fall, material);
        let told = view.told();
        for mark in &mut fall.marks {
            mark.href = mark.href.take().filter(|href| told.contains(href));
        }
        view.ladder = crate::charts::ladder::render(&fall);
    }
    let told = view.told();
    lead_where_told(&mut view.lead, &told);
    view.spoken = spoken(numbers, &view);
    view
}

/// Leaves a figure without its way where the page does not tell how it is reckoned.
pub fn lead_where_told(pieces: &mut [Piece], told: &BTreeSet<String>) {
    for piece in pieces {
        if !told.contains(&piece.href) {
            piece.href.clear();
        }
    }
}

/// What rounding did to strength and gravities; what it did not move is not counted up.
fn rounding_words(exact: &Formulation, weighed: &Formulation) -> String {
    let both = |numbers: &Formulation| Some((numbers.whole.clone()?, numbers.finished.clone()?));
    let (Some((og, end)), Some((weighed_og, weighed_end))) = (both(exact), both(weighed)) else {
        return String::new();
    };
    let percent = |abv: f64| units::fixed(abv, 2);
    let gravity = |sg: f64| units::fixed(sg, 4);
    let (mut moved, mut stays) = (Vec::new(), Vec::new());
    for (name, from, to, unit) in [
        (
            "strength",
            percent(end.abv_percent),
            percent(weighed_end.abv_percent),
            " %",
        ),
        ("the start", gravity(og.og), gravity(weighed_og.og), ""),
        ("the end", gravity(end.fg), gravity(weighed_end.fg), ""),
    ] {
        match from == to {
            true => stays.push(name),
            false => moved.push(format!("{name} moves from {from} to {to}{unit}")),
        }
    }
    let stay = match stays.as_slice() {
        [one] => format!("{one} stays"),
        some => format!("{} stay", listed(some)),
    };
    match (moved.is_empty(), stays.is_empty()) {
        (true, _) => {
            "Weighed to what a kitchen scale shows, nothing moves: strength, start and end stay as they are.".to_owned()
        }
        (false, true) => format!("Weighed to what a kitchen scale shows, {}.", moved.join(", ")),
        (false, false) => format!(
            "Weighed to what a kitchen scale shows, {}; {stay}.",
            moved.join(", ")
        ),
    }
}

/// "a", "a and b", "a, b and c".
pub fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Problems in words; `field` finds the field of each.
pub fn problems<'a>(
    problems: &[Problem],
    units: Units,
    field: impl Fn(&Problem) -> Option<&'a str>,
) -> Vec<ProblemLine> {
    problems
        .iter()
        .map(|problem| ProblemLine {
            field: field(problem).unwrap_or_default().to_owned(),
            words: problem_sentence_at(
                problem.code.as_str(),
                &problem.path,
                &serde_json::to_value(&problem.arguments).unwrap_or_default(),
                units,
            ),
        })
        .collect()
}

/// "12 %", "12.5 %".
pub fn strength(abv: f64) -> String {
    format!("{} %", units::plain((abv * 10.0).round() / 10.0, 1))
}

/// The family in plain words, the trade's word behind it: "fruit mead (melomel)".
pub fn family_words(numbers: &Formulation) -> String {
    let Some(code) = numbers
        .style
        .as_ref()
        .and_then(|style| style.family.value.as_deref())
    else {
        return String::new();
    };
    match catalogue().find_family(code) {
        Some(family) => format!("{} ({})", family.words, family.name.to_lowercase()),
        None => code.to_owned(),
    }
}

fn spoken(numbers: &Formulation, view: &NumbersView) -> String {
    if let Some(problem) = view.problems.first() {
        return format!("{}. {}", problem.words.lead, problem.words.sentence);
    }
    match (&numbers.whole, &numbers.finished) {
        (Some(whole), Some(finished)) => format!(
            "{} from {} to {}.",
            strength(finished.abv_percent),
            units::gravity(whole.og),
            units::gravity(finished.fg)
        ),
        _ => String::new(),
    }
}

/// A salt by its name in words: "calcium chloride dihydrate".
pub fn salt_words(salt: &Salt) -> String {
    salt.name().replace('_', " ")
}

/// When an ingredient goes in, in words.
pub fn when_words(when: When) -> &'static str {
    match when {
        When::Must => "in the must, before the yeast",
        When::Primary => "while it ferments",
        When::Secondary => "after the first fermentation",
        When::Sweeten => "to sweeten, after stabilising",
        When::Ageing => "while it ages",
    }
}
