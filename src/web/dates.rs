//! Instants as people read them, where they live.

use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;

/// A day: "3 May 2026".
pub fn day(at: DateTime<Utc>, zone: Tz) -> String {
    at.with_timezone(&zone).format("%-d %B %Y").to_string()
}

/// A day of the calendar: "3 May 2026".
pub fn date(day: NaiveDate) -> String {
    day.format("%-d %B %Y").to_string()
}

/// A moment: "Sunday 3 May 2026, 18:05".
pub fn moment(at: DateTime<Utc>, zone: Tz) -> String {
    at.with_timezone(&zone)
        .format("%A %-d %B %Y, %H:%M")
        .to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_zone_decides_the_day() {
        let at: DateTime<Utc> = "2026-05-03T22:05:00Z".parse().unwrap();
        assert_eq!(day(at, chrono_tz::UTC), "3 May 2026");
        assert_eq!(
            moment(at, chrono_tz::Europe::Copenhagen),
            "Monday 4 May 2026, 00:05"
        );
    }
}
