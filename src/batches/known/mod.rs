//! What the log of a batch makes known, beside its sheet: how it began, how far it has come, what it was given and what is left.

use askama::Template;
use askama::filters::HtmlSafe;

use super::opened::Opened;
use crate::engine::log::State;
use crate::web::money::Currency;
use crate::web::units::{self, Units};
use crate::web::words::likely;

/// Less than this many litres is nothing.
const NOTHING_L: f64 = 0.005;
/// Strengths that differ by less are told as one, % ABV.
const SAME_ABV: f64 = 0.3;

/// The list.
#[derive(Template)]
#[template(path = "batches/_known.html")]
pub struct KnownPart {
    pairs: Vec<(&'static str, String)>,
}

/// A template has escaped what it printed.
impl HtmlSafe for KnownPart {}

impl KnownPart {
    /// Of a batch, in the reader's units. What it cost is reckoned with prices of its maker's cupboard, which nobody else sees: for
    /// others there is no money.
    pub fn of(opened: &Opened, units: Units, money: Option<Currency>) -> KnownPart {
        let state = &opened.state;
        let found = [
            Some(("OG", og(opened, units))),
            Some(("Alcohol", alcohol(state))),
            left(state).map(|words| ("Sugar left", words)),
            come(state).map(|words| ("Attenuation", words)),
            nitrogen(state).map(|words| ("Nitrogen fed", words)),
            stabilisers(state).map(|words| ("Against spoiling", words)),
            Some(("How much", volume(state, units))),
            losses(state, units).map(|words| ("Left behind", words)),
            money
                .and_then(|currency| cost(state, currency))
                .map(|words| ("Cost", words)),
            days(state).map(|words| ("Days since the yeast", words)),
        ];
        KnownPart {
            pairs: found.into_iter().flatten().collect(),
        }
    }
}

/// As planned and as it was read, with the likely reason where they differ.
fn og(opened: &Opened, units: Units) -> String {
    let state = &opened.state;
    let Some(compared) = &state.compared else {
        let reckoned = units::gravity(state.og);
        return format!("{reckoned}, from what went in; it was not read yet");
    };
    let read = units::gravity(compared.actual_sg);
    let planned = units::gravity(compared.planned_sg);
    let mut words = match read == planned {
        true => format!("{read} as it was read, as planned"),
        false => format!("{read} as it was read, {planned} planned"),
    };
    if let Some(reason) = &compared.reason {
        words = format!("{words}: {}", likely(reason, units));
    }
    words
}

fn alcohol(state: &State) -> String {
    let now = units::abv(state.abv_percent);
    let simple = state.simple.and_then(|simple| simple.abv_percent);
    let differs = simple.filter(|simple| (simple - state.abv_percent).abs() >= SAME_ABV);
    match differs {
        Some(simple) => format!(
            "{now}; by the first and the last gravity alone, {}",
            units::abv(simple)
        ),
        None => now,
    }
}

fn left(state: &State) -> Option<String> {
    if !state.fermenting {
        return None;
    }
    let all = units::grams_per_litre(state.sugar_g_per_l);
    Some(match state.stabilised {
        true => format!("{all}; it stays"),
        false => {
            let ferments = units::grams_per_litre(state.expected.fermentable_g_per_l);
            let which = match ferments == all {
                true => "all of which".to_owned(),
                false => format!("of which {ferments}"),
            };
            format!(
                "{all}, {which} will ferment, down to {} at {}",
                units::gravity(state.expected.fg),
                units::abv(state.expected.abv_percent)
            )
        }
    })
}

fn come(state: &State) -> Option<String> {
    state.fermenting.then(|| {
        format!(
            "{} by the gravities, {} of what was dissolved",
            units::percent(state.attenuation.apparent_percent, 0),
            units::percent(state.attenuation.real_percent, 0)
        )
    })
}

fn nitrogen(state: &State) -> Option<String> {
    let given = state.nitrogen.ammonium_mg_per_l + state.nitrogen.organic_mg_per_l;
    let planned = state.nitrogen.planned_mg_per_l.unwrap_or(0.0);
    let mg = |value: f64| units::plain(value, 0);
    match (given > 0.0, planned >= 0.5) {
        (false, false) => None,
        (true, false) => Some(format!("{} mg/L", mg(given))),
        (_, true) => Some(format!("{} of {} mg/L planned", mg(given), mg(planned))),
    }
}

/// Sulfur dioxide and sorbic acid of all that went in.
fn stabilisers(state: &State) -> Option<String> {
    let total = |mg_per_l: f64, name: &str| {
        (mg_per_l >= 0.5).then(|| format!("{} mg/L of {name}", units::plain(mg_per_l, 0)))
    };
    let told: Vec<String> = [
        total(state.total_so2_mg_per_l, "sulfur dioxide"),
        total(state.sorbic_mg_per_l, "sorbic acid"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!told.is_empty()).then(|| {
        format!(
            "{} in all went in: local law says how much may be in it, and what a label has to say",
            told.join(" and ")
        )
    })
}

fn volume(state: &State, units: Units) -> String {
    let here = units::volume(state.volume_l, units);
    match state.packaged_l > NOTHING_L {
        false => here,
        true if state.volume_l <= NOTHING_L => {
            format!("{} filled", units::volume(state.packaged_l, units))
        }
        true => format!(
            "{} filled, {here} still to be",
            units::volume(state.packaged_l, units)
        ),
    }
}

fn losses(state: &State, units: Units) -> Option<String> {
    let lost = &state.losses;
    let parts = [
        (lost.racking_l, "on the lees"),
        (lost.samples_l, "in samples"),
        (lost.packaging_l, "at the filling"),
        (lost.unexplained_l, "unexplained"),
    ];
    let told: Vec<String> = parts
        .into_iter()
        .filter(|(litres, _)| *litres > NOTHING_L)
        .map(|(litres, words)| format!("{} {words}", units::volume(litres, units)))
        .collect();
    let guessed = match lost.racking_estimated_l > NOTHING_L {
        true => " (some of it the usual, not measured)",
        false => "",
    };
    (!told.is_empty()).then(|| format!("{}{guessed}", told.join(", ")))
}

fn cost(state: &State, currency: Currency) -> Option<String> {
    match state.cost.total {
        Some(total) if total > 0.0 => Some(currency.reckoned(total)),
        None if state.cost.added > 0.0 => Some(format!(
            "{} for what was added; what it began with has no price",
            currency.reckoned(state.cost.added)
        )),
        _ => None,
    }
}

/// Whole days to each mark that was reached.
fn days(state: &State) -> Option<String> {
    let marks = &state.marks;
    let reached = [
        (marks.one_third, "a third of the sugar gone"),
        (marks.half, "half of it"),
        (marks.nearly_all, "95 % of it"),
        (marks.end, "at its end"),
        (marks.packaged, "filled"),
    ];
    let told: Vec<String> = reached
        .into_iter()
        .filter_map(|(mark, words)| {
            let days = marks.days_to(mark)?;
            Some(format!("{words} after {}", units::plain(days, 1)))
        })
        .collect();
    (!told.is_empty()).then(|| told.join(", "))
}
