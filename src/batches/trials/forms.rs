//! The form of a split trial: its question and its day.

use chrono::{Months, NaiveDate};

use crate::batches::opened::Opened;
use crate::batches::start::Speaks;
use crate::engine::ageing;
use crate::engine::formulation::StyleWord;
use crate::web::day;
use crate::web::error::Error;
use crate::web::typed::Typed;

/// The longest question, in characters.
const QUESTION_MAX: usize = 300;
/// The farthest that a day lies ahead, years.
const YEARS: u32 = 5;

/// Reads question and day.
///
/// # Errors
/// When a field came twice.
pub fn read(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<(String, NaiveDate)>, Error> {
    let why = "Write what you want to find out, such as Does oak help?";
    let question = typed.wanted("question", QUESTION_MAX, why)?;
    let today = to.today();
    let wanted = typed.day("taste_on", to.units, |text, units| {
        day::read(text, today, units)
    })?;
    let latest = today + Months::new(12 * YEARS);
    match wanted {
        Some(day) if day < today => {
            let why = "That day is over. Write one that lies ahead, or today.";
            typed.form.refuse("taste_on", why);
        }
        Some(day) if day > latest => {
            let why = format!("Write a day within {YEARS} years.");
            typed.form.refuse("taste_on", why);
        }
        None if typed.form.fault("taste_on").is_none() => {
            typed.form.refuse("taste_on", day::WHAT_TO_WRITE);
        }
        _ => {}
    }
    let wanted = wanted.filter(|_| typed.form.is_sound());
    Ok(wanted.map(|day| (question, day)))
}

/// The day from which such a mead is usually good; a month from now where that is over.
pub fn usual_day(opened: &Opened, to: Speaks) -> NaiveDate {
    let style = opened.planned.style.as_ref();
    let word = |of: Option<&StyleWord>| of.and_then(|of| of.value.clone()).unwrap_or_default();
    let family = word(style.map(|style| &style.family));
    let strength = word(style.map(|style| &style.strength));
    let [earliest, _] = ageing::months(&family, &strength);
    let began = opened.batch.began_at.with_timezone(&to.zone).date_naive();
    let good = began + Months::new(earliest);
    good.max(to.today() + Months::new(1))
}
