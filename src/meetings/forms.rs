//! The forms of meetings: from text to what is kept, and back.

use chrono::NaiveDate;
use chrono_tz::Tz;

use super::model::{ABOUT_MAX, LINE_MAX, Meeting, NOTES_MAX, Said, TITLE_MAX};
use crate::web::Error;
use crate::web::day;
use crate::web::form::{FormState, Posted};
use crate::web::typed::{Typed, WHICH_TIME, instant, time_of_day};
use crate::web::units::{Units, parse_whole};

/// The fields of a meeting, with their labels: what two texts of it are compared by.
pub const FIELDS: &[(&str, &str)] = &[
    ("title", "What it is called"),
    ("day", "Day"),
    ("time", "Time"),
    ("place", "Where"),
    ("about", "What is on"),
    ("notes", "Notes afterwards"),
];

/// For whom a form is read and written.
#[derive(Clone, Copy)]
pub struct Speaks {
    pub units: Units,
    pub zone: Tz,
    pub today: NaiveDate,
}

/// Reads what its opener says of a meeting.
///
/// # Errors
/// When a field came twice.
pub fn meeting(posted: &Posted, to: Speaks) -> Result<Result<Said, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let title = typed.wanted(
        "title",
        TITLE_MAX,
        "Write what it is called, such as December tasting.",
    )?;
    let ahead = |text: &str, units| day::read(text, to.today, units);
    let day = typed.day("day", to.units, ahead)?;
    if typed.text("day")?.is_empty() {
        typed.form.refuse("day", day::WHAT_TO_WRITE);
    }
    let time = typed.read("time", |text| time_of_day(text).ok_or(WHICH_TIME))?;
    if typed.text("time")?.is_empty() {
        typed.form.refuse("time", WHICH_TIME);
    }
    let starts_at = day.zip(time).map(|(day, time)| instant(day, time, to.zone));
    if starts_at == Some(None) {
        typed.form.refuse(
            "time",
            "The clocks leave this hour out on that day. Write another.",
        );
    }
    let place = typed.line("place", LINE_MAX)?;
    let about = typed.lines("about", ABOUT_MAX)?;
    let notes = typed.lines("notes", NOTES_MAX)?;
    Ok(match starts_at.flatten() {
        Some(starts_at) if typed.form.is_sound() => Ok(Said {
            title,
            starts_at,
            place,
            about,
            notes,
        }),
        _ => Err(typed.form),
    })
}

/// The form that holds a meeting.
pub fn filled(meeting: &Meeting, zone: Tz) -> FormState {
    let said = &meeting.said;
    let local = said.starts_at.with_timezone(&zone);
    let mut form = FormState::new();
    form.set("title", said.title.clone());
    form.set("day", local.date_naive().to_string());
    form.set("time", local.format("%H:%M").to_string());
    form.set("place", said.place.clone());
    form.set("about", said.about.clone());
    form.set("notes", said.notes.clone());
    form
}

/// What somebody puts down, as typed: a recipe with its revision, or words.
pub struct Put {
    pub recipe: Option<String>,
    pub number: Option<i32>,
    pub words: String,
    pub beware: String,
}

/// Reads what somebody puts down.
///
/// # Errors
/// When a field came twice.
pub fn put(posted: &Posted) -> Result<(Put, FormState), Error> {
    let mut typed = Typed::of(posted);
    let recipe = Some(typed.text("recipe")?.to_owned()).filter(|recipe| !recipe.is_empty());
    let number = typed.read("number", |text| {
        parse_whole(text, 1, i32::MAX).map_err(|_| "Write the number of the revision, such as 3.")
    })?;
    let words = typed.line("words", LINE_MAX)?;
    let beware = typed.line("beware", LINE_MAX)?;
    if recipe.is_none() && words.is_empty() {
        typed
            .form
            .refuse("words", "Choose a recipe, or write what you bring.");
    }
    let put = Put {
        recipe,
        number,
        words,
        beware,
    };
    Ok((put, typed.form))
}
