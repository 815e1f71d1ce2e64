//! The numbers as pages show them: a sentence, amounts, margin notes, feeding, cautions, the ladder.

pub mod amounts;
pub mod fall;
pub mod feeds;
pub mod lead;
pub mod method;
pub mod notes;
pub mod steps;

use chrono::{DateTime, Utc};

use crate::catalogue::catalogue;
use crate::engine::formulation::Formulation;
use crate::engine::problem::{Problem, Severity};
use crate::engine::recipe::Recipe;
use crate::engine::scaling::Rounded;
use crate::web::units::{self, Units};
use crate::web::words::{Words, caution_sentence, problem_sentence};

pub use amounts::when_words;
pub use method::Method;
pub use notes::Note;

/// A stretch of the lead sentence; what is promised is marked.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub text: String,
    pub promised: bool,
}

/// One line of what goes in.
#[derive(Clone, Debug, PartialEq)]
pub struct AmountLine {
    pub name: String,
    pub detail: String,
    pub amount: String,
    /// The amount before it was rounded, where that shows.
    pub exact: String,
    pub solved: bool,
}

/// What to give at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedLine {
    pub when: String,
    pub detail: String,
    /// Amount and feed.
    pub gifts: Vec<(String, String)>,
}

/// A caution in words.
#[derive(Clone, Debug, PartialEq)]
pub struct CautionLine {
    pub class: &'static str,
    pub words: Words,
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
    /// The three that come first.
    pub cautions: Vec<CautionLine>,
    pub more_cautions: Vec<CautionLine>,
    pub problems: Vec<ProblemLine>,
    pub feeds: Vec<FeedLine>,
    pub feeding_caption: String,
    pub feeding_note: &'static str,
    pub ladder: String,
    pub ladder_rows: Vec<crate::charts::ladder::LadderRow>,
    /// What rounding did to strength and gravity.
    pub rounding: String,
}

/// For whom and when the numbers are shown.
#[derive(Clone, Copy, Debug)]
pub struct Reader {
    pub units: Units,
    pub zone: chrono_tz::Tz,
    pub now: DateTime<Utc>,
}

/// The numbers as solved.
pub fn view(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> NumbersView {
    let mut view = NumbersView {
        lead: lead::lead(recipe, numbers, reader),
        family: family_words(numbers),
        amounts: amounts::amounts(recipe, numbers, numbers, reader.units),
        notes: notes::all(recipe, numbers, reader.units),
        problems: problems(&numbers.problems, reader.units, |_| None),
        feeds: feeds::feeds(numbers, reader.units),
        feeding_caption: feeds::feeding_caption(numbers),
        feeding_note: feeds::feeding_note(numbers),
        ..NumbersView::default()
    };
    let all: Vec<CautionLine> = numbers
        .cautions
        .iter()
        .map(|caution| CautionLine {
            class: match caution.severity {
                Severity::Danger => "danger",
                Severity::Watch => "watch",
                Severity::Note => "",
            },
            words: caution_sentence(
                caution.code.as_str(),
                &serde_json::to_value(&caution.arguments).unwrap_or_default(),
                reader.units,
            ),
        })
        .collect();
    let (first, more) = all.split_at(all.len().min(3));
    view.cautions = first.to_vec();
    view.more_cautions = more.to_vec();
    let fall = fall::ladder(recipe, numbers);
    if let Some(fall) = fall {
        view.ladder = crate::charts::ladder::render(&fall);
        view.ladder_rows = crate::charts::ladder::table_rows(&fall);
    }
    view.spoken = spoken(numbers, &view);
    view
}

/// The numbers with amounts that a scale can weigh, and what the rounding did.
pub fn weighed_view(recipe: &Recipe, rounded: &Rounded, reader: &Reader) -> NumbersView {
    // What the mead is called follows the recipe: a hair of rounding must not turn semi-sweet into dry.
    let called = Formulation {
        style: rounded.exact.style.clone(),
        ..rounded.weighed.clone()
    };
    let mut view = view(recipe, &called, reader);
    view.amounts = amounts::amounts(recipe, &called, &rounded.exact, reader.units);
    let both = |numbers: &Formulation| Some((numbers.whole.clone()?, numbers.finished.clone()?));
    if let (Some((og, end)), Some((weighed_og, weighed_end))) =
        (both(&rounded.exact), both(&called))
    {
        view.rounding = format!(
            "Weighed to what a kitchen scale shows, strength moves from {:.2} to {:.2} %, the start from {:.4} to {:.4}, the end from {:.4} to {:.4}.",
            end.abv_percent, weighed_end.abv_percent, og.og, weighed_og.og, end.fg, weighed_end.fg
        );
    }
    view
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
            words: problem_sentence(
                problem.code.as_str(),
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
