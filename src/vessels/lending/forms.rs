//! The forms of lending: a thing, asking for it, and how it came back.

use chrono::{Days, NaiveDate};

use super::Described;
use crate::vessels::forms::{NAME_LONGEST, NOTES_LONGEST, Reading};
use crate::web::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::units::Units;

/// Lengths, in characters; the database has the same.
pub const PLACE_LONGEST: usize = 200;
pub const REMARK_LONGEST: usize = 500;
/// The longest that a thing is lent for.
const LONGEST_DAYS: u64 = 730;

/// A thing, and whether it is the club's.
pub fn thing(
    posted: &Posted,
    units: Units,
    may_be_clubs: bool,
) -> Result<Result<(Described, bool), FormState>, Error> {
    let mut form = Reading::of(posted, units);
    let name = form.wanted(
        "name",
        NAME_LONGEST,
        "Say what it is, such as “hand press, 6 L”.",
    )?;
    let place = form.short("place", PLACE_LONGEST)?;
    let condition = form.short("condition", NOTES_LONGEST)?;
    let clubs = may_be_clubs && form.text("whose")? == "club";
    Ok(match form.state.is_sound() {
        true => Ok((
            Described {
                name,
                place,
                condition,
            },
            clubs,
        )),
        false => Err(form.state),
    })
}

/// The form of a thing as it is.
pub fn filled(is: &Described) -> FormState {
    let mut form = FormState::new();
    form.set("name", is.name.as_str());
    form.set("place", is.place.as_str());
    form.set("condition", is.condition.as_str());
    form
}

/// The day until which it is lent, and what is said with it.
pub fn until(
    posted: &Posted,
    units: Units,
    today: NaiveDate,
) -> Result<Result<(NaiveDate, String), FormState>, Error> {
    let mut form = Reading::of(posted, units);
    let text = form.text("until")?;
    let last = today.checked_add_days(Days::new(LONGEST_DAYS));
    let until = match (text, day::read(text, today, units)) {
        ("", _) => Err("Write until when, such as 12 December."),
        (_, None) => Err("Write the day such as 12 December, or 2026-12-12."),
        (_, Some(day)) if day < today => Err("Write a day that is still to come."),
        (_, Some(day)) if last.is_some_and(|last| day > last) => {
            Err("Write a day within the next two years.")
        }
        (_, Some(day)) => Ok(day),
    };
    if let Err(why) = until {
        form.refuse("until", why);
    }
    let remark = form.short("remark", REMARK_LONGEST)?;
    Ok(match (until, form.state.is_sound()) {
        (Ok(day), true) => Ok((day, remark)),
        _ => Err(form.state),
    })
}

/// In what condition it came back.
pub fn came_back(posted: &Posted, units: Units) -> Result<Result<String, FormState>, Error> {
    let mut form = Reading::of(posted, units);
    let words = form.short("came_back", REMARK_LONGEST)?;
    Ok(match form.state.is_sound() {
        true => Ok(words),
        false => Err(form.state),
    })
}
