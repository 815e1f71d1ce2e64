//! The picture of a fermentation over its days: what was read, what is expected, the plan, what was added, how warm it was.

use super::course::Sight;
use super::dates::Calendar;
use super::known::measured_temperatures;
use crate::batches::opened::Opened;
use crate::charts::forecast::{Flag, Forecast, Range, Reading, Strip, Tick};
use crate::engine::log::Deed;
use crate::engine::log::entry::What;
use crate::engine::outlook::{Outlook, When};
use crate::web::units::Units;

/// Everything in it, in hours since the pitch.
pub fn picture(
    opened: &Opened,
    sight: &Sight,
    outlook: &Outlook,
    calendar: &Calendar,
    reads: Units,
) -> Forecast {
    let case = &sight.case;
    let known = &case.known;
    let first_h = outlook.points.first().map_or(0.0, |point| point.hours);
    let last_h = outlook.points.last().map_or(0.0, |point| point.hours);
    let readings: Vec<Reading> = known
        .readings
        .iter()
        .map(|one| Reading {
            hours: one.hours,
            sg: one.sg,
            when: calendar.short(one.hours),
        })
        .collect();
    let begins_h = readings
        .first()
        .map_or(first_h, |one| one.hours.min(first_h));
    Forecast {
        prefix: "outlook".to_owned(),
        title: "Gravity over its days".to_owned(),
        description: description(outlook, readings.len(), calendar),
        ticks: calendar.ticks(begins_h, last_h),
        band: band(sight, outlook),
        planned: match outlook.is_fitted {
            true => outlook.planned.clone(),
            false => Vec::new(),
        },
        readings,
        flags: flags(opened, sight, calendar),
        temperature: strip(opened, sight, reads),
        now: (!case.is_over && case.is_pitched).then(|| Tick {
            hours: known.now_h,
            words: "today".to_owned(),
        }),
    }
}

fn description(outlook: &Outlook, readings: usize, calendar: &Calendar) -> String {
    let read = match readings {
        0 => "Nothing was read yet".to_owned(),
        1 => "One gravity was read".to_owned(),
        many => format!("{many} gravities were read"),
    };
    match outlook.end_h {
        Some(end) => format!("{read}; its end is expected {}.", calendar.about(end)),
        None => format!("{read}; its end is not in sight."),
    }
}

/// What is expected; of a fermentation that is over nothing is.
fn band(sight: &Sight, outlook: &Outlook) -> Vec<Range> {
    if sight.case.is_over {
        return Vec::new();
    }
    let points = outlook.points.iter();
    points
        .map(|point| Range {
            hours: point.hours,
            low: point.sg.low,
            best: point.sg.best,
            high: point.sg.high,
        })
        .collect()
}

/// What went in since the pitch, and the feeds that are still to come.
fn flags(opened: &Opened, sight: &Sight, calendar: &Calendar) -> Vec<Flag> {
    let case = &sight.case;
    let mut flags: Vec<Flag> = Vec::new();
    let mut flag = |hours: f64, words: String| {
        flags.push(Flag {
            hours,
            when: calendar.short(hours),
            words,
        });
    };
    for entry in &opened.entries {
        let hours = entry.hours - case.pitch_h;
        let words = match &entry.deed {
            Deed::Feed(feed) => format!("fed {}", feed.name),
            Deed::Addition(one) if is_told(one.what) => format!("added {}", one.name),
            _ => continue,
        };
        if (0.0..=case.known.now_h).contains(&hours) {
            flag(hours, words);
        }
    }
    for feed in &case.known.feeds {
        if let When::Hours(hours) | When::Either(hours, _) = feed.when
            && hours >= case.known.now_h
            && !case.is_over
        {
            flag(hours, "a feed of the plan".to_owned());
        }
    }
    flags.sort_by(|a, b| a.hours.total_cmp(&b.hours));
    flags.dedup_by(|a, b| a.hours == b.hours && a.words == b.words);
    flags
}

/// Whether an addition means something to a fermentation.
fn is_told(what: What) -> bool {
    !matches!(what, What::Fining | What::Wood | What::Tannin | What::Other)
}

/// How warm it was, where that was measured.
fn strip(opened: &Opened, sight: &Sight, reads: Units) -> Option<Strip> {
    let case = &sight.case;
    let shown = |celsius: f64| match reads {
        Units::Us => celsius * 1.8 + 32.0,
        _ => celsius,
    };
    let measured = measured_temperatures(opened);
    let points: Vec<(f64, f64)> = measured
        .map(|(hours, celsius)| (hours - case.pitch_h, shown(celsius)))
        .filter(|(hours, _)| (0.0..=case.known.now_h).contains(hours))
        .collect();
    (points.len() > 1).then(|| Strip {
        name: format!("must, {}", reads.temperature_unit()),
        points,
    })
}
