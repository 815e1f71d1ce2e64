//! What sensors tell all day long stands as one line a day.

use chrono::NaiveDate;
use chrono_tz::Tz;

use crate::batches::model::Logged;
use crate::batches::sensors::thinned::is_of_sensor;
use crate::engine::log::Deed;
use crate::engine::log::entry::Reading;

/// What stands on one line of a log.
pub enum Shown<'a> {
    One(&'a Logged),
    /// Readings of one sensor on one day, the newest first; at least two.
    Day(Vec<&'a Logged>),
}

fn reading(logged: &Logged) -> Option<&Reading> {
    match &logged.deed {
        Deed::Reading(reading) => Some(reading),
        _ => None,
    }
}

/// The day and the device of a sensor's reading that stands as it came.
fn told_by(logged: &Logged, zone: Tz) -> Option<(NaiveDate, Option<&str>)> {
    let plain = is_of_sensor(logged) && !logged.struck && logged.version == 1;
    let reading = reading(logged).filter(|_| plain)?;
    let day = logged.at.with_timezone(&zone).date_naive();
    Some((day, reading.instrument.as_deref()))
}

/// Entries, the newest first, with each day of each sensor put together where its newest reading stands.
pub fn grouped<'a>(newest_first: impl Iterator<Item = &'a Logged>, zone: Tz) -> Vec<Shown<'a>> {
    let mut shown: Vec<Shown<'a>> = Vec::new();
    let mut places = std::collections::HashMap::new();
    for logged in newest_first {
        let Some(key) = told_by(logged, zone) else {
            shown.push(Shown::One(logged));
            continue;
        };
        let place = *places.entry(key).or_insert(shown.len());
        match shown.get_mut(place) {
            None => shown.push(Shown::One(logged)),
            Some(Shown::Day(day)) => day.push(logged),
            Some(one) => {
                if let Shown::One(first) = *one {
                    *one = Shown::Day(vec![first, logged]);
                }
            }
        }
    }
    shown
}

/// The lowest and the highest of a value over a day.
pub fn between(day: &[&Logged], value: impl Fn(&Reading) -> Option<f64>) -> Option<(f64, f64)> {
    let values = day.iter().filter_map(|logged| value(reading(logged)?));
    values.fold(None, |found, value| match found {
        None => Some((value, value)),
        Some((low, high)) => Some((value.min(low), value.max(high))),
    })
}

/// What the device of a day is called.
pub fn device<'a>(day: &[&'a Logged]) -> &'a str {
    let first = day
        .first()
        .and_then(|logged| reading(logged)?.instrument.as_deref());
    first.unwrap_or("a sensor")
}
