//! What all entries have in common when they are typed: when it was, and the text that is kept.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};

use super::sorts::{Case, Sort};
use crate::batches::model::Logged;
use crate::batches::start::Speaks;
use crate::web::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::typed::{Typed, WHICH_TIME, instant, time_of_day};

const AHEAD: &str = "That lies ahead. Write when it was.";

/// When it was: day and time, nothing for now; never ahead.
///
/// # Errors
/// When a field came twice.
pub fn moment(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<DateTime<Utc>>, Error> {
    let today = to.today();
    let (day, ahead) = match typed.text("day")? {
        "" => (Some(today), false),
        text => (
            day::read_past(text, today, to.units),
            day::read(text, today, to.units).is_some(),
        ),
    };
    match (day, ahead) {
        (None, true) => typed.form.refuse("day", AHEAD),
        (None, false) => typed.form.refuse("day", day::WHAT_TO_WRITE),
        (Some(_), _) => {}
    }
    let time = typed.read("time", |text| time_of_day(text).ok_or(WHICH_TIME))?;
    let now = to.now.with_timezone(&to.zone);
    let time = match (typed.text("time")?, day) {
        // Of another day nobody said the time: noon stands for it.
        ("", Some(day)) if day != today => chrono::NaiveTime::from_hms_opt(12, 0, 0),
        ("", _) => Some(now.time()),
        _ => time,
    };
    let at = day.zip(time).map(|(day, time)| instant(day, time, to.zone));
    if at == Some(None) {
        typed.form.refuse(
            "time",
            "The clocks leave this hour out on that day. Write another.",
        );
    }
    let at = at.flatten();
    if at.is_some_and(|at| at > to.now + chrono::TimeDelta::minutes(5)) {
        typed.form.refuse("day", AHEAD);
    }
    Ok(at)
}

/// When a corrected entry was: as it stood, to the second, unless day or time are typed anew.
///
/// # Errors
/// When a field came twice.
pub fn moment_again(
    typed: &mut Typed<'_>,
    to: Speaks,
    before: &Logged,
) -> Result<Option<DateTime<Utc>>, Error> {
    let shown = shown(before.at, to);
    let same = typed.text("day")? == shown.0 && typed.text("time")? == shown.1;
    match same {
        true => Ok(Some(before.at)),
        false => moment(typed, to),
    }
}

/// An instant as the fields of day and time show it.
fn shown(at: DateTime<Utc>, to: Speaks) -> (String, String) {
    let local = at.with_timezone(&to.zone);
    (
        local.format("%Y-%m-%d").to_string(),
        local.format("%H:%M").to_string(),
    )
}

/// The form of an entry: as it was typed; what was not typed in such a form, as it would be typed.
pub fn again(sort: &Sort, case: &Case<'_>, before: &Logged) -> FormState {
    let mut form = FormState::new();
    (sort.fills)(&before.deed, case, &mut form);
    for (field, text) in &before.typed {
        form.set(field, text.clone());
    }
    let (day, time) = shown(before.at, case.to);
    form.set("day", day);
    form.set("time", time);
    form
}

/// The fields of a sort as they were typed, to be typed again when the entry is corrected.
pub fn as_typed(posted: &Posted, sort: &Sort, case: &Case<'_>) -> BTreeMap<String, String> {
    let fields = (sort.fields)(case);
    let kept = |name: &str| fields.iter().any(|field| field.name == name);
    let pairs = posted.pairs().iter();
    pairs
        .filter(|(name, text)| kept(name) && !text.trim().is_empty())
        .map(|(name, text)| (name.clone(), text.trim().to_owned()))
        .collect()
}
