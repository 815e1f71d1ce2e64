//! The numbers as pages show them: a sentence, amounts, margin notes, feeding, cautions, the ladder.

pub mod fall;
mod goes_in;
pub mod method;
pub mod notes;
pub mod steps;
pub mod summary;

use chrono::{DateTime, Datelike, Months, Utc};

use crate::catalogue::catalogue;
use crate::engine::formulation::Formulation;
use crate::engine::problem::{Problem, Severity};
use crate::engine::recipe::{Recipe, When};
use crate::engine::scaling::Rounded;
use crate::web::units::{self, Units};
use crate::web::words::{Words, caution_sentence, problem_sentence};

use goes_in::{amounts, feeding_caption, feeding_note, feeds};

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

impl NumbersView {
    /// Whether the line of the feeding plan at this place says the same as the one before.
    pub fn told_before(&self, place: &usize) -> bool {
        let detail = |at: usize| self.feeds.get(at).map(|line| &line.detail);
        *place > 0 && detail(*place) == detail(*place - 1)
    }
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
        lead: lead(recipe, numbers, reader),
        family: family_words(numbers),
        amounts: amounts(recipe, numbers, numbers, reader.units),
        notes: notes::all(recipe, numbers, reader.units),
        problems: problems(&numbers.problems, reader.units, |_| None),
        feeds: feeds(numbers, reader.units),
        feeding_caption: feeding_caption(numbers),
        feeding_note: feeding_note(numbers),
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
    let all = [all, catalogue_cautions(recipe)].concat();
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

/// What the catalogue says of what is in the recipe that can hurt somebody.
fn catalogue_cautions(recipe: &Recipe) -> Vec<CautionLine> {
    let items = recipe.ingredients.iter().filter_map(|item| {
        let caution = catalogue().find(item.key.as_deref()?)?.caution.as_ref()?;
        Some((item.name.as_str(), caution))
    });
    let yeasts = recipe.yeasts.iter().filter_map(|yeast| {
        let caution = catalogue()
            .find_yeast(yeast.key.as_deref()?)?
            .caution
            .as_ref()?;
        Some((yeast.name.as_str(), caution))
    });
    let feeds = recipe.nutrients.iter().filter_map(|feed| {
        let caution = catalogue()
            .find_feed(feed.key.as_deref()?)?
            .caution
            .as_ref()?;
        Some((feed.name.as_str(), caution))
    });
    items
        .chain(yeasts)
        .chain(feeds)
        .map(|(name, caution)| CautionLine {
            class: "watch",
            words: Words {
                lead: name.to_owned(),
                sentence: caution.clone(),
            },
        })
        .collect()
}

/// The numbers with amounts that a scale can weigh, and what the rounding did.
pub fn weighed_view(recipe: &Recipe, rounded: &Rounded, reader: &Reader) -> NumbersView {
    // What the mead is called follows the recipe: a hair of rounding must not turn semi-sweet into dry.
    let called = Formulation {
        style: rounded.exact.style.clone(),
        ..rounded.weighed.clone()
    };
    let mut view = view(recipe, &called, reader);
    view.amounts = amounts(recipe, &called, &rounded.exact, reader.units);
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

/// What the lead calls the mead: "dry mead", "semi-sweet blackberry mead".
fn called(recipe: &Recipe, numbers: &Formulation) -> String {
    let sweetness = numbers
        .style
        .as_ref()
        .and_then(|style| style.sweetness.value.clone());
    let mut words = sweetness.map(|word| vec![word]).unwrap_or_default();
    let fruit = recipe.ingredients.iter().filter(|item| {
        matches!(
            item.kind,
            crate::engine::recipe::Kind::Fruit | crate::engine::recipe::Kind::Juice
        )
    });
    let names: Vec<String> = fruit.map(|item| plain_name(&item.name)).collect();
    match names.as_slice() {
        [one] => words.push(one.clone()),
        [one, two] if one != two => words.push(format!("{one} and {two}")),
        [] => {}
        _ => words.push("mixed fruit".to_owned()),
    }
    words.push("mead".to_owned());
    words.join(" ")
}

/// "Blackberry, frozen" → "blackberry".
fn plain_name(name: &str) -> String {
    name.split([',', '('])
        .next()
        .unwrap_or(name)
        .trim()
        .to_lowercase()
}

fn lead(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> Vec<Piece> {
    let (Some(finished), Some(package)) = (&numbers.finished, &numbers.package) else {
        return Vec::new();
    };
    let say = |text: &str| Piece {
        text: text.to_owned(),
        promised: false,
    };
    let promise = |text: String| Piece {
        text,
        promised: true,
    };
    let bottles = package.bottles.first().map_or(0, |bottles| bottles.count);
    let amount = match bottles {
        0 => units::volume(package.litres, reader.units),
        1 => "1 bottle".to_owned(),
        many => format!("{many} bottles"),
    };
    vec![
        say("About "),
        promise(amount),
        say(&format!(" of {} at ", called(recipe, numbers))),
        promise(strength(finished.abv_percent)),
        say(", good to drink from about "),
        promise(drink_from(numbers, reader)),
        say("."),
    ]
}

/// Earliest month in which such a mead is usually good, if it is made today (common practice, no published source).
fn drink_from(numbers: &Formulation, reader: &Reader) -> String {
    let style = numbers.style.as_ref();
    let family = style
        .and_then(|style| style.family.value.as_deref())
        .unwrap_or_default();
    let strength = style
        .and_then(|style| style.strength.value.as_deref())
        .unwrap_or_default();
    let months = match (strength, family) {
        ("sack", _) => 12,
        (_, "bochet") => 9,
        ("hydromel", _) => 1,
        (_, "braggot") => 2,
        (_, "traditional") => 6,
        _ => 4,
    };
    let today = reader.now.with_timezone(&reader.zone).date_naive();
    match today.checked_add_months(Months::new(months)) {
        Some(then) => format!("{} {}", month(then.month()), then.year()),
        None => format!("{months} months on"),
    }
}

fn month(number: u32) -> &'static str {
    match number {
        1 => "January",
        2 => "February",
        3 => "March",
        4 => "April",
        5 => "May",
        6 => "June",
        7 => "July",
        8 => "August",
        9 => "September",
        10 => "October",
        11 => "November",
        _ => "December",
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
