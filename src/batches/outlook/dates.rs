//! Days of an outlook in words, where the reader lives.

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;

use crate::charts::forecast::Tick;
use crate::engine::forecast::Band;
use crate::web::typed::instant;

/// The most dates on the axis.
const TICKS: i64 = 7;
/// Days between two of them.
const STEPS: [i64; 10] = [1, 2, 3, 5, 7, 14, 28, 56, 91, 182];

/// Hours since the pitch as days of the calendar.
#[derive(Clone, Copy)]
pub struct Calendar {
    pub pitched_at: DateTime<Utc>,
    pub now: DateTime<Utc>,
    pub zone: Tz,
}

impl Calendar {
    fn day(&self, hours: f64) -> Option<NaiveDate> {
        if !(-1e6..=1e6).contains(&hours) {
            return None;
        }
        let seconds = chrono::TimeDelta::try_seconds((hours * 3600.0).round() as i64)?;
        let at = self.pitched_at.checked_add_signed(seconds)?;
        Some(at.with_timezone(&self.zone).date_naive())
    }

    fn this_year(&self) -> i32 {
        self.now.with_timezone(&self.zone).year()
    }

    /// "12 December", with its year where that is not this one.
    pub fn words(&self, hours: f64) -> String {
        let Some(day) = self.day(hours) else {
            return "never".to_owned();
        };
        let format = match day.year() == self.this_year() {
            true => "%-d %B",
            false => "%-d %B %Y",
        };
        day.format(format).to_string()
    }

    /// "12 Dec".
    pub fn short(&self, hours: f64) -> String {
        let day = self.day(hours);
        day.map_or(String::new(), |day| day.format("%-d %b").to_string())
    }

    /// "about 12 December, between 8 and 18": the likely day and between which nine in ten lie.
    pub fn about(&self, band: Band) -> String {
        let [low, best, high] = [band.low, band.best, band.high].map(|hours| self.day(hours));
        match (low, best, high) {
            (Some(low), Some(_), Some(high)) if low == high => {
                format!("on {}", self.words(band.best))
            }
            (Some(low), Some(_), Some(high)) => {
                let same_month = (low.year(), low.month()) == (high.year(), high.month());
                let from = match same_month {
                    true => low.day().to_string(),
                    false => self.words(band.low),
                };
                if low.succ_opt() == Some(high) {
                    return format!("on {from} or {}", self.words(band.high));
                }
                let to = match same_month {
                    true => high.day().to_string(),
                    false => self.words(band.high),
                };
                format!("about {}, between {from} and {to}", self.words(band.best))
            }
            _ => "not within sight".to_owned(),
        }
    }

    /// Dates for the axis between two hours: midnights, few enough to be read.
    pub fn ticks(&self, first_h: f64, last_h: f64) -> Vec<Tick> {
        let (Some(first), Some(last)) = (self.day(first_h), self.day(last_h)) else {
            return Vec::new();
        };
        let days = (last - first).num_days().max(1);
        let step = STEPS.into_iter().find(|step| days / step <= TICKS);
        let step = step.unwrap_or(days / TICKS) as u64;
        let mut ticks = Vec::new();
        let mut day = first;
        while day <= last && ticks.len() < 2 * TICKS as usize {
            let at = instant(day, NaiveTime::MIN, self.zone);
            let hours = at.map(|at| (at - self.pitched_at).as_seconds_f64() / 3600.0);
            ticks.extend(
                hours
                    .filter(|hours| (first_h..=last_h).contains(hours))
                    .map(|hours| Tick {
                        hours,
                        words: day.format("%-d %b").to_string(),
                    }),
            );
            match day.checked_add_days(Days::new(step)) {
                Some(next) => day = next,
                None => break,
            }
        }
        ticks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calendar() -> Calendar {
        Calendar {
            pitched_at: "2026-11-28T18:00:00Z".parse().unwrap(),
            now: "2026-11-28T18:00:00Z".parse().unwrap(),
            zone: chrono_tz::Europe::Copenhagen,
        }
    }

    fn band(low: f64, best: f64, high: f64) -> Band {
        Band { low, best, high }
    }

    #[test]
    fn days_are_told_as_people_tell_them() {
        let is = calendar();
        let day = 24.0;
        assert_eq!(
            is.about(band(10.0 * day, 14.0 * day, 20.0 * day)),
            "about 12 December, between 8 and 18"
        );
        assert_eq!(
            is.about(band(day, 3.0 * day, 40.0 * day)),
            "about 1 December, between 29 November and 7 January 2027"
        );
        assert_eq!(is.about(band(48.0, 48.5, 49.0)), "on 30 November");
        assert_eq!(
            is.about(band(48.0, 48.5, 73.0)),
            "on 30 November or 1 December"
        );
        assert_eq!(is.about(band(72.0, 72.5, 97.0)), "on 1 or 2 December");
        // An hour before midnight there is the next day here.
        assert_eq!(is.words(5.5), "29 November");
    }

    #[test]
    fn the_axis_has_few_dates_and_all_are_midnights() {
        let is = calendar();
        for last in [30.0, 200.0, 1_440.0, 9_000.0] {
            let ticks = is.ticks(0.0, last);
            assert!((1..=9).contains(&ticks.len()), "{last}: {}", ticks.len());
            for tick in &ticks {
                let seconds = (tick.hours * 3600.0).round() as i64;
                let at = is.pitched_at + chrono::TimeDelta::seconds(seconds);
                assert_eq!(at.with_timezone(&is.zone).time(), NaiveTime::MIN);
            }
        }
    }
}
