//! From what a batch began with and its log to what the engine's outlook is made from.

use crate::batches::opened::Opened;
use crate::engine::balance::Liquid;
use crate::engine::forecast::{Reading, Stretch};
use crate::engine::formulation::FeedAt;
use crate::engine::log::entry::What;
use crate::engine::log::{Deed, Point, Start, replay};
use crate::engine::outlook::{Change, Feed, Known, When};
use crate::engine::pitching::grams_per_litre;

/// A must of which nobody said how warm it is, °C.
const USUAL_C: f64 = 20.0;
/// What moves the gravity less than this is no new must: a hydrometer is not read closer (reference on kinetics, section 7).
const TELLING_SG: f64 = 0.001;
/// Feeds that go in within so many hours are one (our judgement): several powders have an entry each.
const ONE_FEED_H: f64 = 6.0;

/// Readings that are fitted at the most (our judgement): more of them are no better known, for they err together.
const MOST_READINGS: usize = 60;
/// Temperatures that are followed at the most (our judgement): of more, as a sensor tells, the mean over even spans of time.
const MOST_TEMPERATURES: usize = 40;

/// A batch as its outlook sees it.
pub struct Case {
    /// Hours of the log at which the yeast went in, or at which it is supposed to.
    pub pitch_h: f64,
    pub is_pitched: bool,
    /// Whether it was stabilised or packaged: nothing is to be forecast then.
    pub is_over: bool,
    /// Whether fruit gives its sugar on the way: gravities are then those with what it still holds.
    pub has_fruit: bool,
    /// Hours since the pitch.
    pub known: Known,
}

/// What is known at an hour of the log; `earlier` are the factors of the club's finished batches.
pub fn known(opened: &Opened, now_h: f64, earlier: Vec<(f64, f64)>) -> Case {
    let state = &opened.state;
    let pitch = state.marks.pitch.filter(|pitch| *pitch <= now_h);
    let pitch_h = pitch.unwrap_or(now_h.max(0.0));
    let ended = opened.batch.ended_at.map(|at| opened.batch.hours_at(at));
    let over = [state.marks.stabilised, state.marks.packaged, ended];
    let over_h = over.into_iter().flatten().reduce(f64::min);
    let until_h = over_h.map_or(now_h, |over| over.min(now_h)).max(pitch_h);
    let (before, after): (Vec<Change>, Vec<Change>) = changes(opened, until_h)
        .into_iter()
        .partition(|change| change.hours <= pitch_h);
    let early: Liquid = before.into_iter().map(|change| change.parts).sum();
    let is_over = |hours: f64| over_h.is_some_and(|over| hours >= over);
    let read: Vec<&Point> = state
        .points
        .iter()
        .filter(|point| point.used && point.hours >= pitch_h && !is_over(point.hours))
        .collect();
    let has_fruit = has_fruit(opened);
    let known = Known {
        must: state.flows.begun + early,
        pitch_g_per_l: pitched_g_per_l(opened),
        tolerance_abv_percent: state.tolerance_abv_percent.unwrap_or(100.0),
        yan_mg_per_l: state.nitrogen.of_must_mg_per_l.unwrap_or(0.0),
        feeds: feeds(opened, pitch_h, until_h),
        temperatures: temperatures(opened, pitch_h),
        readings: thinned(&read)
            .filter_map(|point| {
                Some(Reading {
                    hours: point.hours - pitch_h,
                    sg: match has_fruit {
                        true => whole_sg(opened, point)?,
                        false => point.read_sg?,
                    },
                })
            })
            .collect(),
        changes: after
            .into_iter()
            .map(|change| Change {
                hours: change.hours - pitch_h,
                ..change
            })
            .collect(),
        now_h: until_h - pitch_h,
        earlier,
        lid_is_tight: false,
    };
    Case {
        pitch_h,
        is_pitched: pitch.is_some(),
        is_over: over_h.is_some(),
        has_fruit,
        known,
    }
}

/// Of very many readings, as a sensor sends, some at even steps, the last among them.
fn thinned<'a>(read: &'a [&'a Point]) -> impl Iterator<Item = &'a Point> {
    let step = read.len().div_ceil(MOST_READINGS).max(1);
    let skipped = read.len().saturating_sub(1) % step;
    read.iter().copied().skip(skipped).step_by(step)
}

/// Whether fruit gives its sugar after the beginning.
fn has_fruit(opened: &Opened) -> bool {
    let is_fruit = |deed: &Deed| matches!(deed, Deed::Addition(one) if one.what == What::Fruit);
    opened.start.later.mass_kg() > 0.0 || opened.entries.iter().any(|entry| is_fruit(&entry.deed))
}

/// The gravity at a reading with all that the fruit still held come out: that of the whole must, which is what is forecast.
fn whole_sg(opened: &Opened, point: &Point) -> Option<f64> {
    let at = opened
        .entries
        .iter()
        .position(|entry| entry.entry == point.entry)?;
    let flows = replay(&opened.start, &opened.entries[..=at]).flows;
    match flows.in_fruit.mass_kg() > 0.0 {
        true => Some((flows.vessel + flows.in_fruit).state().sg),
        false => point.read_sg,
    }
}

/// What changed the liquid until then: hours of the log, and parts for the volume it began with.
fn changes(opened: &Opened, until_h: f64) -> Vec<Change> {
    let (start, entries) = (&opened.start, &opened.entries);
    let mut found = Vec::new();
    for (at, entry) in entries.iter().enumerate() {
        if entry.hours > until_h {
            break;
        }
        if !matches!(entry.deed, Deed::Addition(_)) {
            continue;
        }
        let (before, after) = (
            replay(start, &entries[..at]),
            replay(start, &entries[..=at]),
        );
        if after.stabilised {
            break;
        }
        let parts = after.flows.added + before.flows.added * -1.0;
        let here = before.flows.vessel + before.flows.in_fruit;
        let gone = before.flows.lost + before.flows.packaged + before.flows.parted;
        let moved = ((here + parts).state().sg - here.state().sg).abs();
        if here.mass_kg() > 0.0 && moved > TELLING_SG {
            found.push(Change {
                hours: entry.hours,
                parts: parts * ((here + gone).mass_kg() / here.mass_kg()),
            });
        }
    }
    found
}

/// Dry yeast that went in, or is planned, or is usual for such a must, g/L.
fn pitched_g_per_l(opened: &Opened) -> f64 {
    let given: Vec<f64> = opened
        .entries
        .iter()
        .filter_map(|entry| match &entry.deed {
            Deed::Pitch(pitch) => pitch.yeast_g,
            _ => None,
        })
        .collect();
    let litres = opened.state.flows.begun.state().volume_l;
    let plan = opened.start.plan.as_ref();
    let planned = plan.map(|plan| plan.yeast_g / plan.volume_l);
    let given = (!given.is_empty()).then(|| given.iter().sum::<f64>() / litres);
    [given, planned]
        .into_iter()
        .flatten()
        .find(|dose| dose.is_finite() && *dose > 0.0)
        .unwrap_or_else(|| grams_per_litre(opened.state.og, Some(temperature_of(&opened.start))))
}

fn temperature_of(start: &Start) -> f64 {
    let planned = start.plan.as_ref().and_then(|plan| plan.temperature_c);
    planned.unwrap_or(USUAL_C)
}

/// What was fed, and what of the plan is still to come: what is overdue is taken to come now, but nothing after a third of the
/// fall, when it is too late to feed.
fn feeds(opened: &Opened, pitch_h: f64, until_h: f64) -> Vec<Feed> {
    let given = &opened.state.nitrogen.feeds;
    let mut times: Vec<f64> = Vec::new();
    for feed in given {
        if times
            .last()
            .is_none_or(|last| feed.hours - last > ONE_FEED_H)
        {
            times.push(feed.hours);
        }
    }
    let mut all: Vec<Feed> = given
        .iter()
        .map(|feed| Feed {
            when: When::Hours((feed.hours - pitch_h).max(0.0)),
            yan_mg_per_l: feed.ammonium_mg_per_l + feed.organic_mg_per_l,
        })
        .collect();
    let planned = opened
        .planned
        .feeding
        .iter()
        .filter(|_| opened.state.marks.one_third.is_none())
        .flat_map(|plan| &plan.additions);
    let mut seen: Vec<FeedAt> = Vec::new();
    for addition in planned {
        if !seen.contains(&addition.at) {
            seen.push(addition.at);
        }
        if seen.len() <= times.len() {
            continue;
        }
        all.push(Feed {
            when: match addition.at {
                FeedAt::Hours(hours) => When::Hours(hours.max(until_h - pitch_h)),
                FeedAt::Gravity(sg) => When::Gravity(sg),
            },
            yan_mg_per_l: addition.ammonium_mg_per_l + addition.organic_mg_per_l,
        });
    }
    all
}

/// The must's temperature as planned until it is measured, each measurement until the next; the first holds from the pitch on.
fn temperatures(opened: &Opened, pitch_h: f64) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    for (hours, temperature_c) in measured_temperatures(opened) {
        let from_h = (hours - pitch_h).max(0.0);
        let stretch = Stretch {
            from_h: if all.is_empty() { 0.0 } else { from_h },
            temperature_c,
        };
        match all.last_mut() {
            Some(last) if last.from_h >= stretch.from_h => *last = stretch,
            _ => all.push(stretch),
        }
    }
    if all.is_empty() {
        all.push(Stretch {
            from_h: 0.0,
            temperature_c: temperature_of(&opened.start),
        });
    }
    evened(all)
}

/// Of very many temperatures the means over even spans, and the last as it is.
fn evened(all: Vec<Stretch>) -> Vec<Stretch> {
    let (Some(first), Some(last)) = (all.first(), all.last()) else {
        return all;
    };
    if all.len() <= MOST_TEMPERATURES {
        return all;
    }
    let (begin_h, last) = (first.from_h, *last);
    let width_h = (last.from_h - begin_h) / MOST_TEMPERATURES as f64;
    let mean = |n: usize| {
        let (from_h, to_h) = (
            begin_h + width_h * n as f64,
            begin_h + width_h * (n + 1) as f64,
        );
        let within = all.windows(2).map(|two| {
            let hours = two[1].from_h.min(to_h) - two[0].from_h.max(from_h);
            hours.max(0.0) * two[0].temperature_c
        });
        Stretch {
            from_h,
            temperature_c: within.sum::<f64>() / width_h,
        }
    };
    (0..MOST_TEMPERATURES).map(mean).chain([last]).collect()
}

/// Each measured temperature of the must: hours of the log, °C.
pub fn measured_temperatures(opened: &Opened) -> impl Iterator<Item = (f64, f64)> + '_ {
    opened.entries.iter().filter_map(|entry| {
        let found = match &entry.deed {
            Deed::Mixed(mixed) => mixed.temperature_c,
            Deed::Reading(reading) => reading.must_temperature_c,
            _ => None,
        };
        Some((entry.hours, found?))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn very_many_temperatures_keep_their_mean_and_their_last() {
        let all: Vec<Stretch> = (0..1_441)
            .map(|hour| Stretch {
                from_h: f64::from(hour),
                temperature_c: 18.0 + f64::from(hour % 24) / 12.0,
            })
            .collect();
        let even = evened(all.clone());
        assert_eq!(even.len(), MOST_TEMPERATURES + 1);
        assert_eq!(even.last(), all.last());
        let sum = |of: &[Stretch]| {
            let hours = of.windows(2);
            hours
                .map(|two| (two[1].from_h - two[0].from_h) * two[0].temperature_c)
                .sum::<f64>()
        };
        assert!((sum(&even) - sum(&all)).abs() < 1e-6);
        // Each is between the coldest and the warmest.
        assert!(
            even.iter()
                .all(|one| (18.0..20.0).contains(&one.temperature_c))
        );
        let few = &all[..MOST_TEMPERATURES];
        assert_eq!(evened(few.to_vec()), few);
    }
}
