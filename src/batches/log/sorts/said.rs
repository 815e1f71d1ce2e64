//! Words: a note, and what it tasted like.

use super::typing::{NOTE_MAX, some};
use super::{Case, Field, Is, Sort, begins_empty, field, no_care};
use crate::batches::log::tasted;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Note, Tasting};
use crate::engine::plan::Beware;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

/// A note.
pub const NOTE: Sort = Sort {
    word: "note",
    heading: "A note",
    link: "Noted",
    fields: |_| vec![field("note", "Note", Is::Lines)],
    begins: begins_empty,
    reads: read_note,
    fills: |deed, _, form| {
        if let Deed::Note(note) = deed {
            form.set("note", note.text.clone().unwrap_or_default());
        }
    },
    care: no_care,
};

/// A tasting.
pub const TASTING: Sort = Sort {
    word: "tasting",
    heading: "Tasted it",
    link: "Tasted",
    fields: tasting_fields,
    begins: begins_empty,
    reads: read_tasting,
    fills: fill_tasting,
    care: |_| vec![Beware::SmallSips],
};

fn read_note(typed: &mut Typed<'_>, _: &Case<'_>) -> Result<Option<Deed>, Error> {
    let text = some(typed.lines("note", NOTE_MAX)?);
    if text.is_none() {
        typed.form.refuse("note", "Write a word or two.");
    }
    Ok(Some(Deed::Note(Note { text })))
}

fn tasting_fields(case: &Case<'_>) -> Vec<Field> {
    let before = case.before.map(|before| &before.deed);
    let with_character =
        matches!(before, Some(Deed::Tasting(tasting)) if tasting.character.is_some());
    let mut fields = tasted::first_fields();
    fields.extend(tasted::side_fields());
    fields.extend(tasted::sense_fields(with_character));
    fields
}

fn read_tasting(typed: &mut Typed<'_>, _: &Case<'_>) -> Result<Option<Deed>, Error> {
    let tasting = tasted::read(typed)?;
    if tasting == Tasting::default() && typed.form.is_sound() {
        typed
            .form
            .refuse("text", "Write a word or two, or choose below.");
    }
    Ok(Some(Deed::Tasting(tasting)))
}

fn fill_tasting(deed: &Deed, _: &Case<'_>, form: &mut FormState) {
    if let Deed::Tasting(tasting) = deed {
        tasted::fill(tasting, form);
    }
}
