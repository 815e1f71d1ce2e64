//! The forms of opinions: from what was chosen and typed to a rating and to words.

use super::comments::{Draft, WORDS_MAX};
use super::model::{Basis, Rating};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};

/// A rating and the revision it speaks of, or the form with its faults.
pub fn rating(posted: &Posted) -> Result<Result<(Rating, i32), FormState>, Error> {
    let revision = posted.one("revision")?.parse();
    let revision = revision
        .map_err(|_| Error::bad_request("Open the recipe again, and rate it from its sheet."))?;
    let stars = posted.one("stars")?.parse().ok();
    let stars = stars.filter(|stars| (1..=5).contains(stars));
    let basis: Option<Basis> = posted.one("basis")?.parse().ok();
    match (stars, basis) {
        (Some(stars), Some(basis)) => Ok(Ok((Rating { stars, basis }, revision))),
        (stars, basis) => {
            let mut form = FormState::of(posted);
            if stars.is_none() {
                form.refuse("stars", "Choose one of the five.");
            }
            if basis.is_none() {
                form.refuse("basis", "Say how you know it: made, tasted or read.");
            }
            Ok(Err(form))
        }
    }
}

/// Words and the revision they speak of, or the form with its faults.
pub fn comment(posted: &Posted) -> Result<Result<Draft, FormState>, Error> {
    let words = posted.one("words")?.replace("\r\n", "\n");
    let words = words.trim_end();
    let revision = match posted.one("about")? {
        "" => None,
        number => Some(number.parse().map_err(|_| {
            Error::bad_request("Open the recipe again, and choose what you speak of on its sheet.")
        })?),
    };
    let count = words.chars().count();
    let mut form = FormState::of(posted);
    if words.trim().is_empty() {
        form.refuse("words", "Write what you want to say.");
    } else if count > WORDS_MAX {
        form.refuse(
            "words",
            format!("Shorten it to {WORDS_MAX} characters: it has {count}."),
        );
    }
    let draft = Draft {
        words: words.to_owned(),
        revision,
    };
    Ok(if form.is_sound() {
        Ok(draft)
    } else {
        Err(form)
    })
}
