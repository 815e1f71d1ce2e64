//! A date as people type it: a day ahead, or a day that was.

use chrono::{Datelike, Days, NaiveDate};

use crate::web::units::Units;

/// What to write where a text was no day.
pub const WHAT_TO_WRITE: &str = "Write the day such as 2026-11-28, or 28 November.";

/// With a year in it.
const WHOLE: &[&str] = &[
    "%Y-%m-%d",
    "%d.%m.%Y",
    "%d %B %Y",
    "%d. %B %Y",
    "%B %d, %Y",
    "%B %d %Y",
];
/// Without one: the next such day is meant. The year is written behind before it is read.
const WITHOUT_YEAR: &[&str] = &["%d.%m. %Y", "%d %B %Y", "%d. %B %Y", "%B %d %Y"];

/// Reads a day: "2026-11-28", "28.11.2026", "28 November", "tomorrow"; nothing is today. `None` for what is no day.
pub fn read(text: &str, today: NaiveDate, units: Units) -> Option<NaiveDate> {
    let text = text.trim();
    match text.to_lowercase().as_str() {
        "" | "today" => return Some(today),
        "tomorrow" => return today.checked_add_days(Days::new(1)),
        _ => {}
    }
    whole(text, units).or_else(|| {
        let this_year = in_year(text, today.year())?;
        match this_year < today {
            true => in_year(text, today.year() + 1),
            false => Some(this_year),
        }
    })
}

/// Reads a day that was: as `read`, but without a year the last such day is meant; nothing is no day.
pub fn read_past(text: &str, today: NaiveDate, units: Units) -> Option<NaiveDate> {
    let text = text.trim();
    match text.to_lowercase().as_str() {
        "today" => return Some(today),
        "yesterday" => return today.checked_sub_days(Days::new(1)),
        _ => {}
    }
    whole(text, units).or_else(|| {
        let this_year = in_year(text, today.year())?;
        match this_year > today {
            true => in_year(text, today.year() - 1),
            false => Some(this_year),
        }
    })
}

fn parsed(text: &str, format: &str) -> Option<NaiveDate> {
    // A year of two digits is nobody's.
    let day = NaiveDate::parse_from_str(text, format).ok()?;
    (1000..10_000).contains(&day.year()).then_some(day)
}

fn whole(text: &str, units: Units) -> Option<NaiveDate> {
    let slashes: &[&str] = match units {
        Units::Us => &["%m/%d/%Y"],
        Units::Imperial => &["%d/%m/%Y"],
        // Nobody knows which of the two was meant.
        Units::Metric => &[],
    };
    let mut formats = WHOLE.iter().chain(slashes);
    formats.find_map(|format| parsed(text, format))
}

fn in_year(text: &str, year: i32) -> Option<NaiveDate> {
    let dated = format!("{text} {year}");
    let mut formats = WITHOUT_YEAR.iter();
    formats.find_map(|format| parsed(&dated, format))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_read_as_people_write_it() {
        let day = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        let today = day(2026, 11, 28);
        for (text, units, read_as) in [
            ("", Units::Metric, Some(today)),
            (" tomorrow ", Units::Metric, Some(day(2026, 11, 29))),
            ("2026-12-01", Units::Metric, Some(day(2026, 12, 1))),
            ("1.12.2026", Units::Metric, Some(day(2026, 12, 1))),
            ("1 December 2026", Units::Metric, Some(day(2026, 12, 1))),
            ("1 Dec", Units::Metric, Some(day(2026, 12, 1))),
            ("December 1", Units::Us, Some(day(2026, 12, 1))),
            ("3 March", Units::Metric, Some(day(2027, 3, 3))),
            ("24.12.", Units::Metric, Some(day(2026, 12, 24))),
            ("12/1/2026", Units::Us, Some(day(2026, 12, 1))),
            ("12/1/2026", Units::Imperial, Some(day(2026, 1, 12))),
            ("12/1/2026", Units::Metric, None),
            ("31.11.2026", Units::Metric, None),
            ("soon", Units::Metric, None),
        ] {
            assert_eq!(read(text, today, units), read_as, "{text}");
        }
    }

    #[test]
    fn a_day_that_was_lies_behind() {
        let day = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        let today = day(2026, 11, 28);
        for (text, read_as) in [
            ("3 March", Some(day(2026, 3, 3))),
            ("24.12.", Some(day(2025, 12, 24))),
            ("yesterday", Some(day(2026, 11, 27))),
            ("2027-01-01", Some(day(2027, 1, 1))),
            ("", None),
            ("1.12.26", None),
        ] {
            assert_eq!(read_past(text, today, Units::Metric), read_as, "{text}");
        }
    }
}
