//! The feeding plan by day and spoon: when, how much, and what to do when it was missed.
//!
//! Times are those of the trade, six hours more or less; spoons are level and twenty per cent more or less (the
//! catalogue). What to do about a missed one is common practice, no published source.

use chrono::{Days, NaiveDate};

use super::Case;
use crate::engine::formulation::{Addition, FeedAt};
use crate::recipes::numbers::spoons;
use crate::web::units;

/// The latest day of a feed that waits for a gravity.
const LAST_DAY: u64 = 7;

/// From which hour the days are reckoned, and what to do before every feed.
pub const BEFORE: &str = "Reckoned from yeast that goes in at about seven in the evening: pitched earlier or later, give each feed so much earlier or later. The plan of a batch does that by itself. Six hours earlier or later do no harm. Stir the gas out first, slowly, each time: powder into a gassy must foams over. A spoon is level, and a fifth more or less.";

/// What to give at one time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FeedDay {
    /// "Sunday 29 November, in the evening".
    pub when: String,
    /// For a machine, `2026-11-29`.
    pub date: String,
    /// "8.2 g of mixed nutrient, about 2 level teaspoons".
    pub gifts: Vec<String>,
    /// The same in two: amount, and what it is of.
    pub parts: Vec<(String, String)>,
    /// What to do when it was missed.
    pub missed: String,
}

/// The additions of one time.
fn together(additions: &[Addition]) -> Vec<Vec<&Addition>> {
    let mut times: Vec<Vec<&Addition>> = Vec::new();
    for addition in additions.iter().filter(|addition| addition.grams > 0.0) {
        match times
            .last_mut()
            .filter(|time| time.iter().all(|of| of.at == addition.at))
        {
            Some(time) => time.push(addition),
            None => times.push(vec![addition]),
        }
    }
    times
}

/// The plan, in time.
pub fn by_day(case: &Case<'_>) -> Vec<FeedDay> {
    let Some(plan) = &case.numbers.feeding else {
        return Vec::new();
    };
    let limit = case
        .numbers
        .ladder
        .as_ref()
        .and_then(|ladder| ladder.ammonium_limit_sg);
    together(&plan.additions)
        .into_iter()
        .filter_map(|time| Some(day(case, &time, time.first()?.at, limit)))
        .collect()
}

fn day(case: &Case<'_>, gifts: &[&Addition], at: FeedAt, limit: Option<f64>) -> FeedDay {
    let ammonium = gifts.iter().any(|gift| gift.ammonium_mg_per_l > 0.0);
    let (days, when) = match at {
        // Pitched in the evening, as `BEFORE` says: whole days later it is evening again.
        FeedAt::Hours(hours) => {
            let days = (hours / 24.0).round().max(0.0) as u64;
            let part = match hours - 24.0 * (hours / 24.0).floor() {
                rest if !(6.0..=18.0).contains(&rest) => "in the evening",
                _ => "in the morning",
            };
            let date = after(case.mixing_day, days);
            (days, format!("{}, {part}", date.format("%A %-d %B")))
        }
        FeedAt::Gravity(sg) => {
            let last = after(case.mixing_day, LAST_DAY);
            (
                LAST_DAY,
                format!(
                    "When it reads {}, looked for morning and evening; at the latest on {}",
                    units::gravity(sg),
                    last.format("%A %-d %B")
                ),
            )
        }
    };
    let missed = match (at, days) {
        (FeedAt::Hours(_), 0) => "Give it within the first day.".to_owned(),
        (FeedAt::Hours(_), _) => {
            "Give it as soon as you can; if the next one is due, give both together.".to_owned()
        }
        (FeedAt::Gravity(_), _) => "Give it the day you see it, if it still works.".to_owned(),
    };
    let too_late = limit.filter(|_| ammonium).map(|sg| {
        format!(" Once it reads below {}, leave out whatever holds ammonium: the yeast no longer takes it.", units::gravity(sg))
    });
    let parts: Vec<_> = gifts.iter().map(|gift| spoken(case, gift)).collect();
    FeedDay {
        when,
        date: after(case.mixing_day, days).to_string(),
        gifts: parts
            .iter()
            .map(|(grams, of)| format!("{grams} of {of}"))
            .collect(),
        parts,
        missed: missed + &too_late.unwrap_or_default(),
    }
}

fn after(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_add_days(Days::new(days)).unwrap_or(day)
}

/// Amount and what it is of: "8.2 g", "mixed nutrient, about 2 level teaspoons".
fn spoken(case: &Case<'_>, gift: &Addition) -> (String, String) {
    let feed = case.recipe.nutrients.get(gift.index);
    let grams = units::mass(gift.grams / 1000.0, case.reader.units);
    let name = gift.nutrient.to_lowercase();
    let name = if gift.nutrient.chars().all(|c| !c.is_lowercase()) {
        &gift.nutrient
    } else {
        &name
    };
    match spoons::of_feed(gift.grams, feed, &case.reader.catalogue) {
        Some(spoons) => (grams, format!("{name}, {spoons}")),
        None => (grams, name.clone()),
    }
}
