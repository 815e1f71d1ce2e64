//! Fields of a form read one by one: each fault beside its field, with what was typed kept.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;

use super::day;
use super::error::Error;
use super::form::{FormState, Posted};
use super::units::Units;

/// A form while it is read.
pub struct Typed<'a> {
    posted: &'a Posted,
    pub form: FormState,
}

impl<'a> Typed<'a> {
    /// Begins to read.
    pub fn of(posted: &'a Posted) -> Typed<'a> {
        Typed {
            posted,
            form: FormState::of(posted),
        }
    }

    /// Goes on reading where somebody left off.
    pub fn on(posted: &'a Posted, form: FormState) -> Typed<'a> {
        Typed { posted, form }
    }

    /// A field without the spaces around it.
    ///
    /// # Errors
    /// When it came twice.
    pub fn text(&self, name: &str) -> Result<&'a str, Error> {
        Ok(self.posted.one(name)?.trim())
    }

    /// One line of at most so many letters; empty is allowed.
    ///
    /// # Errors
    /// When it came twice.
    pub fn line(&mut self, name: &str, most: usize) -> Result<String, Error> {
        let text = self.text(name)?;
        if text.chars().count() > most || text.chars().any(char::is_control) {
            self.form
                .refuse(name, format!("Write at most {most} letters on one line."));
        }
        Ok(text.to_owned())
    }

    /// One line that must say something.
    ///
    /// # Errors
    /// When it came twice.
    pub fn wanted(&mut self, name: &str, most: usize, why: &str) -> Result<String, Error> {
        let line = self.line(name, most)?;
        if line.is_empty() {
            self.form.refuse(name, why);
        }
        Ok(line)
    }

    /// Several lines of at most so many letters; ends of lines are one character.
    ///
    /// # Errors
    /// When it came twice.
    pub fn lines(&mut self, name: &str, most: usize) -> Result<String, Error> {
        let text = self.text(name)?.replace("\r\n", "\n").replace('\r', "\n");
        let odd = |c: char| c.is_control() && c != '\n' && c != '\t';
        if text.chars().count() > most || text.chars().any(odd) {
            self.form
                .refuse(name, format!("Write at most {most} letters."));
        }
        Ok(text)
    }

    /// A value that is read by a rule of its own; empty is nothing.
    ///
    /// # Errors
    /// When it came twice.
    pub fn read<T, F: ToString>(
        &mut self,
        name: &str,
        read: impl FnOnce(&str) -> Result<T, F>,
    ) -> Result<Option<T>, Error> {
        let text = self.text(name)?;
        if text.is_empty() {
            return Ok(None);
        }
        match read(text) {
            Ok(value) => Ok(Some(value)),
            Err(why) => {
                self.form.refuse(name, why.to_string());
                Ok(None)
            }
        }
    }

    /// A day, or nothing.
    ///
    /// # Errors
    /// When it came twice.
    pub fn day(
        &mut self,
        name: &str,
        units: Units,
        read: impl FnOnce(&str, Units) -> Option<NaiveDate>,
    ) -> Result<Option<NaiveDate>, Error> {
        self.read(name, |text| read(text, units).ok_or(day::WHAT_TO_WRITE))
    }
}

/// What a field for the time of day wants.
pub const WHICH_TIME: &str = "Write the time of day, such as 19:30 or 7:30 pm.";

/// Reads a time of day: "19:30", "7.30 pm", "7 pm".
pub fn time_of_day(text: &str) -> Option<NaiveTime> {
    let text = text.trim().to_lowercase().replace('.', ":");
    let compact: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let compact = compact.replace("p:m:", "pm").replace("a:m:", "am");
    let (clock, half) = match (compact.strip_suffix("pm"), compact.strip_suffix("am")) {
        (Some(clock), _) => (clock.to_owned(), Some(12)),
        (_, Some(clock)) => (clock.to_owned(), Some(0)),
        _ => (compact, None),
    };
    let (hour, minute) = clock.split_once([':', 'h']).unwrap_or((&clock, ""));
    let digits =
        |text: &str| (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(hour) || !(minute.is_empty() || (minute.len() == 2 && digits(minute))) {
        return None;
    }
    let hour: u32 = hour.parse().ok()?;
    let minute: u32 = if minute.is_empty() {
        0
    } else {
        minute.parse().ok()?
    };
    match half {
        Some(half) => (1..=12)
            .contains(&hour)
            .then(|| NaiveTime::from_hms_opt(hour % 12 + half, minute, 0))
            .flatten(),
        None => NaiveTime::from_hms_opt(hour, minute, 0),
    }
}

/// The instant of a day and time where somebody lives; an hour that the clocks go over twice is its first. `None` for one
/// that they leave out.
pub fn instant(day: NaiveDate, time: NaiveTime, zone: Tz) -> Option<DateTime<Utc>> {
    let local = zone.from_local_datetime(&day.and_time(time)).earliest()?;
    Some(local.with_timezone(&Utc))
}

/// A field in which two texts of a form differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    pub label: &'static str,
    pub theirs: String,
    pub yours: String,
}

/// Where two texts of a form differ; `fields` are names and labels.
pub fn differences(
    fields: &[(&str, &'static str)],
    theirs: &FormState,
    yours: &FormState,
) -> Vec<Difference> {
    let differs = |(name, _): &&(&str, &'static str)| {
        theirs.typed(name).trim().replace('\r', "") != yours.typed(name).trim().replace('\r', "")
    };
    let fields = fields.iter().filter(differs);
    fields
        .map(|(name, label)| Difference {
            label,
            theirs: theirs.typed(name).to_owned(),
            yours: yours.typed(name).to_owned(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_as_people_write_them() {
        let time = |h, m| NaiveTime::from_hms_opt(h, m, 0);
        for (text, read_as) in [
            ("19:30", time(19, 30)),
            ("19.30", time(19, 30)),
            ("7.30 pm", time(19, 30)),
            ("7 p.m.", time(19, 0)),
            ("12 am", time(0, 0)),
            ("12 pm", time(12, 0)),
            ("9", time(9, 0)),
            ("20h15", time(20, 15)),
            ("13 pm", None),
            ("25:00", None),
            ("7:5", None),
            ("soon", None),
            ("", None),
        ] {
            assert_eq!(time_of_day(text), read_as, "{text}");
        }
    }

    #[test]
    fn an_hour_that_the_clocks_leave_out_is_none() {
        let zone = chrono_tz::Europe::Copenhagen;
        let day = NaiveDate::from_ymd_opt(2026, 3, 29).unwrap();
        let at = |h, m| instant(day, NaiveTime::from_hms_opt(h, m, 0).unwrap(), zone);
        assert_eq!(at(2, 30), None);
        assert_eq!(at(3, 30).unwrap().to_rfc3339(), "2026-03-29T01:30:00+00:00");
    }
}
