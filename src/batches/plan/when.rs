//! When a step is due, where its reader lives: as instants and days, and in words.

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, TimeDelta, Timelike, Utc};
use chrono_tz::Tz;

use crate::batches::model::Batch;
use crate::engine::plan::{At, Step};
use crate::web::typed::instant;
use crate::web::units;

/// When a step is due, on a calendar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Timing {
    /// At a moment, within a window.
    Moment {
        at: DateTime<Utc>,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    },
    /// On a day, within a window.
    Day {
        day: NaiveDate,
        from: NaiveDate,
        to: NaiveDate,
    },
}

/// Where and when somebody reads.
#[derive(Clone, Copy, Debug)]
pub struct Reads {
    pub now: DateTime<Utc>,
    pub zone: Tz,
}

impl Reads {
    /// The day it is there.
    pub fn today(self) -> NaiveDate {
        self.now.with_timezone(&self.zone).date_naive()
    }
}

fn shifted(day: NaiveDate, days: i32) -> Option<NaiveDate> {
    let by = Days::new(u64::from(days.unsigned_abs()));
    match days < 0 {
        true => day.checked_sub_days(by),
        false => day.checked_add_days(by),
    }
}

impl Timing {
    /// Of a step; `None` while nothing is known that it could be counted from.
    pub fn of(batch: &Batch, step: &Step, zone: Tz) -> Option<Timing> {
        match step.due.at? {
            At::Instant {
                hours,
                from_h,
                to_h,
            } => Some(Timing::Moment {
                at: batch.at_hours(hours)?,
                from: batch.at_hours(from_h)?,
                to: batch.at_hours(to_h)?,
            }),
            At::Day {
                since_h,
                days,
                from_days,
                to_days,
            } => {
                let since = batch.at_hours(since_h)?.with_timezone(&zone).date_naive();
                Some(Timing::Day {
                    day: shifted(since, days)?,
                    from: shifted(since, from_days)?,
                    to: shifted(since, to_days)?,
                })
            }
        }
    }

    /// The day there.
    pub fn day(self, zone: Tz) -> NaiveDate {
        match self {
            Timing::Moment { at, .. } => at.with_timezone(&zone).date_naive(),
            Timing::Day { day, .. } => day,
        }
    }

    /// An instant to put steps in order; a day counts from its noon.
    pub fn place(self, zone: Tz) -> DateTime<Utc> {
        match self {
            Timing::Moment { at, .. } => at,
            Timing::Day { day, .. } => {
                let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
                instant(day, noon, zone).unwrap_or_else(|| day.and_time(noon).and_utc())
            }
        }
    }

    /// Whether its day has come.
    pub fn has_come(self, reads: Reads) -> bool {
        self.day(reads.zone) <= reads.today()
    }

    /// Whether even the last moment that would do has gone by.
    pub fn is_late(self, reads: Reads) -> bool {
        match self {
            // Nobody is late to the minute.
            Timing::Moment { at, to, .. } => to.max(at + TimeDelta::hours(3)) < reads.now,
            Timing::Day { to, .. } => to < reads.today(),
        }
    }

    /// "tomorrow morning, about 8:00", "7 December, about".
    pub fn words(self, reads: Reads) -> String {
        match self {
            Timing::Moment { at, .. } => moment_words(at, reads),
            Timing::Day { day, from, to } => match from == to {
                true => day_words(day, reads.today()),
                false => format!("about {}", day_words(day, reads.today())),
            },
        }
    }

    /// The window in which it still does its work, where there is one.
    pub fn window(self, reads: Reads) -> Option<String> {
        let today = reads.today();
        match self {
            Timing::Moment { at, from, to } if to > from => {
                let day = |at: DateTime<Utc>| at.with_timezone(&reads.zone).date_naive();
                // A day is named where it is another than the one that was named before.
                let told = |one: DateTime<Utc>, before: DateTime<Utc>| {
                    let clock = one.with_timezone(&reads.zone).format("%-H:%M");
                    match day(one) == day(before) {
                        true => clock.to_string(),
                        false => format!("{clock} {}", day_words(day(one), today)),
                    }
                };
                Some(format!(
                    "any time from {} to {}",
                    told(from, at),
                    told(to, from)
                ))
            }
            Timing::Day { from, to, .. } if to > from => {
                let since = day_words(from, today);
                let until = day_words(to, today);
                // "from 11 to 19 December": the month is said once.
                let month = until.split_once(' ').map_or("", |(_, month)| month);
                let since = match since.split_once(' ') {
                    Some((day, of)) if of == month => day,
                    _ => since.as_str(),
                };
                Some(format!("any day from {since} to {until}"))
            }
            _ => None,
        }
    }
}

/// "today", "tomorrow", "Thursday", "7 December", "7 January 2027".
pub fn day_words(day: NaiveDate, today: NaiveDate) -> String {
    match (day - today).num_days() {
        -1 => "yesterday".to_owned(),
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        2..=6 => day.format("%A").to_string(),
        _ if day.year() == today.year() => day.format("%-d %B").to_string(),
        _ => day.format("%-d %B %Y").to_string(),
    }
}

/// "this morning, about 8:00", "tomorrow evening, about 19:30", "7 December, about 19:30".
pub fn moment_words(at: DateTime<Utc>, reads: Reads) -> String {
    let local = at.with_timezone(&reads.zone);
    let part = match local.hour() {
        0..=4 => "night",
        5..=11 => "morning",
        12..=17 => "afternoon",
        _ => "evening",
    };
    let today = reads.today();
    let day = local.date_naive();
    let lead = match ((day - today).num_days(), part) {
        (0, "night") => "early today".to_owned(),
        (0, part) => format!("this {part}"),
        (-1 | 1..=6, "night") => format!("early {}", day_words(day, today)),
        (-1 | 1..=6, part) => format!("{} {part}", day_words(day, today)),
        _ => day_words(day, today),
    };
    format!("{lead}, about {}", local.format("%-H:%M"))
}

/// When a step is due, as the reader says it.
pub fn due_words(step: &Step, timing: Option<Timing>, reads: Reads) -> String {
    let first = step.due.or_at_sg.map(units::gravity);
    match (timing, first) {
        (Some(at), _) if at.is_late(reads) => format!("was due {}", at.words(reads)),
        (Some(at), Some(sg)) => format!(
            "{}, or when it reads {sg}, whichever is first",
            at.words(reads)
        ),
        (Some(at), None) => at.words(reads),
        (None, Some(sg)) => format!("when it reads {sg}"),
        (None, None) => "after the step before it".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reads() -> Reads {
        Reads {
            // Saturday evening there.
            now: "2026-11-28T18:00:00Z".parse().unwrap(),
            zone: chrono_tz::Europe::Copenhagen,
        }
    }

    #[test]
    fn moments_are_told_as_people_say_them() {
        for (at, words) in [
            ("2026-11-28T18:30:00Z", "this evening, about 19:30"),
            ("2026-11-29T06:30:00Z", "tomorrow morning, about 7:30"),
            ("2026-11-27T14:00:00Z", "yesterday afternoon, about 15:00"),
            ("2026-12-02T18:00:00Z", "Wednesday evening, about 19:00"),
            ("2026-12-24T18:00:00Z", "24 December, about 19:00"),
            ("2027-01-02T08:00:00Z", "2 January 2027, about 9:00"),
            // It is the next day there already.
            ("2026-11-28T23:30:00Z", "early tomorrow, about 0:30"),
        ] {
            assert_eq!(moment_words(at.parse().unwrap(), reads()), words);
        }
    }

    #[test]
    fn a_window_is_told_in_as_few_words_as_will_do() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        let moment = |from: &str, to: &str| Timing::Moment {
            at: at(from),
            from: at(from),
            to: at(to),
        };
        let date = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        let days = |from, to| Timing::Day {
            day: from,
            from,
            to,
        };
        for (timing, words) in [
            (
                moment("2026-11-28T06:00:00Z", "2026-11-28T18:00:00Z"),
                "any time from 7:00 to 19:00",
            ),
            (
                moment("2026-11-28T13:30:00Z", "2026-11-29T01:30:00Z"),
                "any time from 14:30 to 2:30 tomorrow",
            ),
            (
                Timing::Moment {
                    at: at("2026-12-01T06:30:00Z"),
                    from: at("2026-11-29T18:00:00Z"),
                    to: at("2026-12-02T18:00:00Z"),
                },
                "any time from 19:00 tomorrow to 19:00 Wednesday",
            ),
            (
                days(date(2026, 12, 11), date(2026, 12, 19)),
                "any day from 11 to 19 December",
            ),
            (
                days(date(2026, 12, 20), date(2027, 1, 9)),
                "any day from 20 December to 9 January 2027",
            ),
            (
                days(date(2026, 11, 29), date(2026, 12, 5)),
                "any day from tomorrow to 5 December",
            ),
        ] {
            assert_eq!(timing.window(reads()).as_deref(), Some(words));
        }
    }

    #[test]
    fn late_is_what_its_whole_window_has_gone_by() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        let moment = |from: &str, to: &str| Timing::Moment {
            at: at(from),
            from: at(from),
            to: at(to),
        };
        let open = moment("2026-11-28T14:00:00Z", "2026-11-28T20:00:00Z");
        assert!(open.has_come(reads()) && !open.is_late(reads()));
        let gone = moment("2026-11-28T02:00:00Z", "2026-11-28T14:00:00Z");
        assert!(gone.is_late(reads()));
        let day = |from, to| Timing::Day {
            day: from,
            from,
            to,
        };
        let date = |d| NaiveDate::from_ymd_opt(2026, 11, d).unwrap();
        assert!(!day(date(20), date(28)).is_late(reads()));
        assert!(day(date(20), date(27)).is_late(reads()));
        assert!(!day(date(29), date(30)).has_come(reads()));
    }
}
