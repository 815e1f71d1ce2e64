//! The numbers as pages show them: a sentence, amounts, margin notes, feeding, cautions, the ladder.

pub mod fall;
pub mod method;
pub mod notes;
pub mod steps;

use chrono::{DateTime, Datelike, Months, Utc};

use crate::catalogue::catalogue;
use crate::engine::formulation::{FeedAt, Formulation, Line};
use crate::engine::problem::{Problem, Severity};
use crate::engine::recipe::{Recipe, When};
use crate::engine::scaling::Rounded;
use crate::web::units::{self, Units};
use crate::web::words::{Words, caution_sentence, problem_sentence};

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
        lead: lead(recipe, numbers, reader),
        family: family_words(numbers),
        amounts: amounts(recipe, numbers, numbers, reader.units),
        notes: notes::all(recipe, numbers, reader.units),
        problems: problems(&numbers.problems, reader.units, |_| None),
        feeds: feeds(numbers, reader.units),
        feeding_caption: feeding_caption(numbers),
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
    let mut view = view(recipe, &rounded.weighed, reader);
    view.amounts = amounts(recipe, &rounded.weighed, &rounded.exact, reader.units);
    view.rounding = match (
        &rounded.exact.finished,
        &rounded.weighed.finished,
        &rounded.exact.whole,
        &rounded.weighed.whole,
    ) {
        (Some(exact), Some(weighed), Some(og_exact), Some(og_weighed)) => format!(
            "Weighed to what a kitchen scale shows, strength moves from {:.2} to {:.2} %, the start from {:.4} to {:.4}, the end from {:.4} to {:.4}.",
            exact.abv_percent,
            weighed.abv_percent,
            og_exact.og,
            og_weighed.og,
            exact.fg,
            weighed.fg
        ),
        _ => String::new(),
    };
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

/// The lines of what goes in, water among them; `exact` has the amounts before rounding.
fn amounts(
    recipe: &Recipe,
    numbers: &Formulation,
    exact: &Formulation,
    units: Units,
) -> Vec<AmountLine> {
    let line = |at: usize, line: &Line| {
        let item = recipe.ingredients.get(line.index);
        let mut detail = vec![when_words(line.when).to_owned()];
        if let Some(days) = item.and_then(|item| item.days) {
            detail.push(format!("{} days", units::plain(days, 1)));
        }
        if let Some(form) = item.and_then(|item| item.form) {
            detail.push(form.as_str().to_owned());
        }
        if line.solved {
            detail.push("solved".to_owned());
        }
        let is_liquid =
            item.is_some_and(|item| matches!(item.kind, crate::engine::recipe::Kind::Juice));
        let amount = |line: &Line| match (is_liquid, line.litres, line.kg) {
            (true, Some(litres), _) => units::volume(litres, units),
            (_, _, Some(kg)) => units::mass(kg, units),
            _ => String::new(),
        };
        let before = exact
            .ingredients
            .get(at)
            .filter(|before| before.kg != line.kg);
        AmountLine {
            name: line.name.clone(),
            detail: detail.join(", "),
            amount: amount(line),
            exact: before
                .and_then(|before| before.kg)
                .map(|kg| {
                    if units == Units::Metric {
                        format!("{kg:.3} kg solved")
                    } else {
                        format!("{} solved", amount(line))
                    }
                })
                .filter(|_| line.kg.is_some())
                .unwrap_or_default(),
            solved: line.solved,
        }
    };
    let mut lines: Vec<(When, AmountLine)> = numbers
        .ingredients
        .iter()
        .enumerate()
        .filter(|(_, l)| l.kg.is_none_or(|kg| kg > 0.0))
        .map(|(at, l)| (l.when, line(at, l)))
        .collect();
    if let Some(must) = numbers.must.as_ref().filter(|must| must.water_l > 0.0) {
        let fruit = numbers
            .vessel
            .as_ref()
            .is_some_and(|fit| fit.fruit_displacement_l > 0.0);
        let mark = units::volume(must.volume_l, units);
        let detail = match fruit {
            true => format!("fill to the {mark} mark before the fruit goes in"),
            false => format!("fill to the {mark} mark"),
        };
        let water = AmountLine {
            name: "Water".to_owned(),
            detail,
            amount: units::volume(must.water_l, units),
            exact: String::new(),
            solved: true,
        };
        let after_must = lines
            .iter()
            .position(|(when, _)| *when != When::Must)
            .unwrap_or(lines.len());
        lines.insert(after_must, (When::Must, water));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

/// What each feed is given when.
fn feeds(numbers: &Formulation, units: Units) -> Vec<FeedLine> {
    let Some(plan) = &numbers.feeding else {
        return Vec::new();
    };
    let mut lines: Vec<(FeedAt, FeedLine)> = Vec::new();
    for addition in &plan.additions {
        let gift = (
            units::mass(addition.grams / 1000.0, units),
            addition.nutrient.clone(),
        );
        if let Some((_, line)) = lines.iter_mut().find(|(at, _)| *at == addition.at) {
            line.gifts.push(gift);
            continue;
        }
        let (when, detail) = match addition.at {
            FeedAt::Hours(hours) if hours <= 0.0 => ("at the pitch".to_owned(), "with the yeast, or within a day".to_owned()),
            FeedAt::Hours(hours) => (
                format!("{} hours after the pitch", units::plain(hours, 0)),
                "six hours earlier or later do no harm; missed it? give it the next morning, never two at once".to_owned(),
            ),
            FeedAt::Gravity(sg) => (
                format!("when it reads {}", units::gravity(sg)),
                "one third of the sugar gone; on day 7 at the latest; missed it? leave it out".to_owned(),
            ),
        };
        lines.push((
            addition.at,
            FeedLine {
                when,
                detail,
                gifts: vec![gift],
            },
        ));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

fn feeding_caption(numbers: &Formulation) -> String {
    let Some(plan) = &numbers.feeding else {
        return String::new();
    };
    let fed = plan.deficit_mg_per_l - plan.beyond_mg_per_l;
    match plan.why {
        "nothing_needed" => {
            "The must brings all the nitrogen the yeast wants: nothing to feed.".to_owned()
        }
        "no_feed" => format!(
            "The yeast would want {} mg/L of nitrogen, but no feed is to hand.",
            units::plain(plan.deficit_mg_per_l, 0)
        ),
        "all_at_pitch" => format!(
            "{} mg/L of nitrogen, all at once: the must is weak",
            units::plain(fed, 0)
        ),
        _ => format!(
            "{} mg/L of nitrogen, in parts; stir the gas out before each",
            units::plain(fed, 0)
        ),
    }
}
