//! What sensors tell all day long stands as one line a day.

use std::collections::HashMap;

use chrono::NaiveDate;
use chrono_tz::Tz;

use crate::batches::model::{Heard, Logged};
use crate::engine::log::Deed;
use crate::engine::log::entry::Reading;

/// What stands on one line of a log.
pub enum Shown<'a> {
    One(&'a Logged),
    /// Hours of one sensor on one day, the newest first; at least two readings.
    Day(Vec<&'a Logged>),
}

fn reading(logged: &Logged) -> Option<&Reading> {
    match &logged.deed {
        Deed::Reading(reading) => Some(reading),
        _ => None,
    }
}

/// The day and the device of what a sensor told in an hour, which belongs to the day of its last reading.
fn told_by(logged: &Logged, zone: Tz) -> Option<(NaiveDate, Option<&str>)> {
    let reading = reading(logged).filter(|_| logged.heard.is_some())?;
    let day = logged.at.with_timezone(&zone).date_naive();
    Some((day, reading.instrument.as_deref()))
}

/// Entries, the newest first, with each day of each sensor put together where its newest reading stands.
pub fn grouped<'a>(newest_first: impl Iterator<Item = &'a Logged>, zone: Tz) -> Vec<Shown<'a>> {
    let mut lines: Vec<Vec<&'a Logged>> = Vec::new();
    let mut places = HashMap::new();
    for logged in newest_first {
        let next = lines.len();
        let place = told_by(logged, zone).map(|key| *places.entry(key).or_insert(next));
        match place.and_then(|place| lines.get_mut(place)) {
            Some(day) => day.push(logged),
            None => lines.push(vec![logged]),
        }
    }
    let shown = lines.into_iter().map(|line| match line[..] {
        [one] if readings(&line) == 1 => Shown::One(one),
        _ => Shown::Day(line),
    });
    shown.collect()
}

/// How many readings a day has.
pub fn readings(day: &[&Logged]) -> i32 {
    let told = |logged: &&Logged| logged.heard.map_or(1, |heard| heard.readings);
    day.iter().map(told).sum()
}

/// The lowest and the highest of a value over a day.
pub fn between(
    day: &[&Logged],
    value: impl Fn(&Heard) -> Option<(f64, f64)>,
) -> Option<(f64, f64)> {
    let hours = day.iter().filter_map(|logged| value(&logged.heard?));
    hours.reduce(|(low, high), hour| (low.min(hour.0), high.max(hour.1)))
}

/// What the device of a day is called.
pub fn device<'a>(day: &[&'a Logged]) -> &'a str {
    let first = day
        .first()
        .and_then(|logged| reading(logged)?.instrument.as_deref());
    first.unwrap_or("a sensor")
}
