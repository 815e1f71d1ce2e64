//! What a batch's log makes known to its plan.

use chrono::{DateTime, Timelike, Utc};
use chrono_tz::Tz;

use crate::batches::finishing;
use crate::batches::model::Ending;
use crate::batches::opened::Opened;
use crate::catalogue::catalogue;
use crate::engine::bottling::ever_stabilised;
use crate::engine::finish::still::at_rest;
use crate::engine::log::entry::{Became, What, Why};
use crate::engine::log::{Deed, Entry};
use crate::engine::plan::{Facts, Forecast, Mark, Measured, Said, Steeping};

/// Feeds that were written down so near to each other are one, hours.
const ONE_FEED_H: f64 = 1.0;
/// What is left when all of it is filled, litres.
const NOTHING_L: f64 = 0.05;

/// The facts at an instant; the pitch is placed in the day by the member's zone.
pub fn facts(opened: &Opened, now: DateTime<Utc>, zone: Tz) -> Facts {
    let (state, batch) = (&opened.state, &opened.batch);
    let hours_of = |is: fn(&Deed) -> bool| {
        let entries = opened.entries.iter();
        entries
            .filter(move |entry| is(&entry.deed))
            .map(|entry| entry.hours)
    };
    let pitch_h = state.marks.pitch;
    Facts {
        now_h: Some(batch.hours_at(now)),
        mixed_h: hours_of(|deed| matches!(deed, Deed::Mixed(_))).next(),
        pitch_h,
        pitch_hour_of_day: pitch_h.and_then(|hours| of_day(opened, hours, zone)),
        break_seen_h: state.marks.one_third,
        break_forecast: forecast(opened, batch.expected.one_third_at.as_deref()),
        end_seen_h: state.marks.end,
        end_forecast: forecast(opened, batch.expected.still_at.as_deref()),
        gravity: opened.last_gravity().map(|(value, at)| Measured {
            value,
            hours: batch.hours_at(at),
        }),
        abv_percent: Some(state.abv_percent),
        ph: state.ph.map(|ph| Measured {
            value: ph.value,
            hours: ph.hours,
        }),
        volume_l: Some(state.volume_l),
        readings_agree_h: agree(opened),
        racked_h: hours_of(|deed| matches!(deed, Deed::Rack(_))).collect(),
        stabilised_h: state.marks.stabilised.filter(|_| state.stabilised),
        never_primed: ever_stabilised(&opened.start, state),
        sulfited: sulfited(&opened.entries, pitch_h),
        sweetened_h: hours_of(
            |deed| matches!(deed, Deed::Addition(added) if added.why == Some(Why::Sweeten)),
        )
        .next_back(),
        packaged_h: state
            .marks
            .packaged
            .filter(|_| state.volume_l <= NOTHING_L || batch.ending == Some(Ending::Bottled)),
        steeping: steeping(opened),
        marks: marks(&opened.entries),
    }
}

/// The instants that the outlook kept, in hours.
fn forecast(opened: &Opened, instants: Option<&[DateTime<Utc>]>) -> Option<Forecast> {
    let &[low, best, high] = instants? else {
        return None;
    };
    let hours = |at: DateTime<Utc>| opened.batch.hours_at(at);
    Some(Forecast {
        low_h: hours(low),
        best_h: hours(best),
        high_h: hours(high),
    })
}

/// When it ends by the club's own days, where they were taken for it, counted from the pitch.
pub(super) fn own_end(opened: &Opened, pitch_h: f64) -> Option<Forecast> {
    let days = opened.batch.own.end_days?;
    let after = |days: f64| pitch_h + 24.0 * days;
    Some(Forecast {
        low_h: after(days.low),
        best_h: after(days.median),
        high_h: after(days.high),
    })
}

/// The local hour of the day at an hour of the log, 0 to 24.
pub(super) fn of_day(opened: &Opened, hours: f64, zone: Tz) -> Option<f64> {
    let time = opened.batch.at_hours(hours)?.with_timezone(&zone).time();
    Some(f64::from(time.num_seconds_from_midnight()) / 3600.0)
}

/// Spice and wood of the catalogue that was put in and whose recipe has no step that takes it out.
fn steeping(opened: &Opened) -> Vec<Steeping> {
    let by_the_recipe = |name: &str| {
        let mut items = opened.recipe.ingredients.iter();
        items.any(|item| item.name == name && item.days.is_some())
    };
    let of = |entry: &Entry| {
        let Deed::Addition(added) = &entry.deed else {
            return None;
        };
        if !matches!(added.what, What::Spice | What::Wood) || by_the_recipe(&added.name) {
            return None;
        }
        let mut known = catalogue().others().iter();
        let days = known.find(|item| item.name == added.name)?.days?;
        Some(Steeping {
            entry: entry.entry,
            name: added.name.clone(),
            hours: entry.hours,
            days,
        })
    };
    opened.entries.iter().filter_map(of).collect()
}

fn sulfited(entries: &[Entry], pitch_h: Option<f64>) -> bool {
    entries.iter().any(|entry| {
        let sulfite = matches!(&entry.deed, Deed::Addition(added) if added.what == What::Sulfite);
        sulfite && pitch_h.is_some_and(|pitch| entry.hours >= pitch)
    })
}

pub(in crate::batches) fn changes_gravity(deed: &Deed) -> bool {
    use What::{Fruit, Honey, Juice, Mead, Sugar, Water};
    matches!(deed, Deed::Addition(added) if matches!(added.what, Honey | Sugar | Fruit | Juice | Water | Mead))
}

/// When a reading last showed that it stands still: once it has fallen, with nothing gone in meanwhile that changes the gravity.
fn agree(opened: &Opened) -> Option<f64> {
    let fell = opened.state.marks.first_fall?;
    let changed: Vec<f64> = opened
        .entries
        .iter()
        .filter(|entry| changes_gravity(&entry.deed))
        .map(|entry| entry.hours)
        .collect();
    let reads = finishing::reads(opened);
    let of_one = |last: usize| {
        let at = reads.get(last)?.hours;
        let before = changed.iter().copied().filter(|hours| *hours <= at);
        let since = before.fold(fell, f64::max);
        let first = reads.iter().position(|read| read.hours >= since)?;
        reads.get(first..=last)
    };
    let mut shown = (0..reads.len()).rev().filter_map(of_one);
    let (_, second) = shown.find_map(at_rest)?;
    Some(second.hours)
}

/// What was said of steps; and feeds that were given without a word about the plan stand for the first that were open.
fn marks(entries: &[Entry]) -> Vec<Mark> {
    let mut marks: Vec<Mark> = entries.iter().filter_map(mark).collect();
    let is_marked = |marks: &[Mark], hours: f64| {
        let mut feeds = marks.iter().filter(|mark| mark.key.starts_with("feed-"));
        feeds.any(|mark| mark.is == Said::Done && (mark.hours - hours).abs() < ONE_FEED_H)
    };
    for entry in entries {
        if !matches!(entry.deed, Deed::Feed(_)) || is_marked(&marks, entry.hours) {
            continue;
        }
        let closed = |key: &str| {
            let last = marks.iter().rev().find(|mark| mark.key == key);
            last.is_some_and(|mark| matches!(mark.is, Said::Done | Said::Skipped))
        };
        let mut keys = (1..).map(|number: u32| format!("feed-{number}"));
        if let Some(key) = keys.find(|key| !closed(key)) {
            marks.push(Mark {
                key,
                hours: entry.hours,
                is: Said::Done,
            });
        }
    }
    let aired = entries
        .iter()
        .find(|entry| matches!(entry.deed, Deed::Aerate));
    if let Some(entry) = aired.filter(|_| marks.iter().all(|mark| mark.key != "aerate")) {
        marks.push(Mark {
            key: "aerate".to_owned(),
            hours: entry.hours,
            is: Said::Done,
        });
    }
    marks
}

fn mark(entry: &Entry) -> Option<Mark> {
    let Deed::Step(step) = &entry.deed else {
        return None;
    };
    let is = match (step.is, step.to_hours) {
        (Became::Done, _) => Said::Done,
        (Became::Skipped, _) => Said::Skipped,
        (Became::Moved, Some(to_hours)) => Said::Moved { to_hours },
        (Became::Moved, None) => return None,
    };
    Some(Mark {
        key: step.step.clone(),
        hours: entry.hours,
        is,
    })
}
