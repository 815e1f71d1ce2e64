//! The form that makes a link.

use super::NOTE_MAX;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};

/// Reads for whom a link is to be.
pub(super) fn note(posted: &Posted) -> Result<Result<String, FormState>, Error> {
    let mut state = FormState::of(posted);
    let note = posted.one("note")?.trim();
    if note.chars().count() > NOTE_MAX || note.chars().any(char::is_control) {
        state.refuse(
            "note",
            format!("Write at most {NOTE_MAX} letters on one line."),
        );
    }
    Ok(match state.is_sound() {
        true => Ok(note.to_owned()),
        false => Err(state),
    })
}
