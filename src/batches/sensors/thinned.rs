//! A device that tells every minute is heard once an hour: the log keeps all, reckoning takes the last of each hour.

use std::collections::HashSet;

use crate::batches::model::{CameFrom, Logged};
use crate::engine::log::Deed;

/// Whether an entry is a reading of a sensor, as it came.
pub fn is_of_sensor(logged: &Logged) -> bool {
    logged.came_from == CameFrom::Sensor.word() && matches!(logged.deed, Deed::Reading(_))
}

/// What of a log, in the order of its times, is reckoned with: all that is not struck, of each sensor the last of each hour.
pub fn counting(log: &[Logged]) -> Vec<&Logged> {
    let mut heard: HashSet<(i64, Option<&str>)> = HashSet::new();
    let mut counting: Vec<&Logged> = log
        .iter()
        .rev()
        .filter(|logged| !logged.struck)
        .filter(|logged| match &logged.deed {
            Deed::Reading(reading) if is_of_sensor(logged) => {
                let hour = logged.at.timestamp().div_euclid(3600);
                heard.insert((hour, reading.instrument.as_deref()))
            }
            _ => true,
        })
        .collect();
    counting.reverse();
    counting
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use chrono::{DateTime, TimeDelta, Utc};

    use super::*;
    use crate::engine::log::entry::Reading;

    fn reading(minute: i64, came_from: &str, instrument: &str) -> Logged {
        let at: DateTime<Utc> = "2026-11-28T00:00:00Z".parse().unwrap();
        let at = at + TimeDelta::minutes(minute);
        Logged {
            entry: 1 + minute as i32,
            version: 1,
            deed: Deed::Reading(Reading {
                sg: Some(1.05),
                instrument: Some(instrument.to_owned()),
                ..Reading::default()
            }),
            at,
            recorded_at: at,
            by_name: "Ada".to_owned(),
            typed: BTreeMap::new(),
            struck: false,
            came_from: came_from.to_owned(),
        }
    }

    #[test]
    fn the_last_of_each_hour_of_each_sensor_counts() {
        let mut log: Vec<Logged> = (0..150)
            .map(|minute| reading(minute, "sensor", "float"))
            .collect();
        log.push(reading(150, "page", "float"));
        log.push(reading(150, "sensor", "other"));
        let counted: Vec<i32> = counting(&log).iter().map(|one| one.entry).collect();
        assert_eq!(counted, [60, 120, 150, 151, 151]);
        log[149].struck = true;
        let counted: Vec<i32> = counting(&log).iter().map(|one| one.entry).collect();
        assert_eq!(counted, [60, 120, 149, 151, 151]);
    }
}
