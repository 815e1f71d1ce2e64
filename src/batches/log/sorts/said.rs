//! Words: a note, and what it tasted like.

use super::typing::{NOTE_MAX, some};
use super::{Case, Field, Is, Sort, begins_empty, field, no_care};
use crate::batches::log::view::RIGHT;
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

/// What is tasted for: the field, its label.
const SENSES: [(&str, &str); 5] = [
    ("sweetness", "Sweetness"),
    ("acidity", "Acidity"),
    ("body", "Body"),
    ("alcohol", "Alcohol"),
    ("character", "Character of the honey and what went with it"),
];

fn read_note(typed: &mut Typed<'_>, _: &Case<'_>) -> Result<Option<Deed>, Error> {
    let text = some(typed.lines("note", NOTE_MAX)?);
    if text.is_none() {
        typed.form.refuse("note", "Write a word or two.");
    }
    Ok(Some(Deed::Note(Note { text })))
}

fn choices(pairs: &[(&str, &str)]) -> Is {
    let owned = pairs.iter();
    Is::Choice(
        owned
            .map(|(value, words)| ((*value).to_owned(), (*words).to_owned()))
            .collect(),
    )
}

fn tasting_fields(_: &Case<'_>) -> Vec<Field> {
    let score = [
        ("", "not said"),
        ("1", "1: not good"),
        ("2", "2: it can be drunk"),
        ("3", "3: good"),
        ("4", "4: very good"),
        ("5", "5: as good as it can be"),
    ];
    let right = || {
        let unsaid = (String::new(), "not said".to_owned());
        let known = RIGHT.map(|(value, words)| (value.to_string(), words.to_owned()));
        Is::Choice(std::iter::once(unsaid).chain(known).collect())
    };
    let senses = SENSES.map(|(name, label)| field(name, label, right()));
    let mut fields = vec![
        field("text", "In your own words", Is::Lines),
        field("score", "All in all", choices(&score)),
    ];
    fields.extend(senses);
    fields
}

fn read_tasting(typed: &mut Typed<'_>, _: &Case<'_>) -> Result<Option<Deed>, Error> {
    let mut told = |field: &str, low: i32, high: i32| {
        typed.read(field, |text| match text.parse::<i32>() {
            Ok(value) if (low..=high).contains(&value) => Ok(value),
            _ => Err("Choose one of the list."),
        })
    };
    let data = Tasting {
        score: told("score", 1, 5)?,
        sweetness: told("sweetness", -2, 2)?,
        acidity: told("acidity", -2, 2)?,
        body: told("body", -2, 2)?,
        alcohol: told("alcohol", -2, 2)?,
        character: told("character", -2, 2)?,
        text: None,
    };
    let text = some(typed.lines("text", NOTE_MAX)?);
    let data = Tasting { text, ..data };
    if data == Tasting::default() && typed.form.is_sound() {
        typed
            .form
            .refuse("text", "Write a word or two, or choose below.");
    }
    Ok(Some(Deed::Tasting(data)))
}

fn fill_tasting(deed: &Deed, _: &Case<'_>, form: &mut FormState) {
    let Deed::Tasting(data) = deed else {
        return;
    };
    form.set("text", data.text.clone().unwrap_or_default());
    let values = [
        ("score", data.score),
        ("sweetness", data.sweetness),
        ("acidity", data.acidity),
        ("body", data.body),
        ("alcohol", data.alcohol),
        ("character", data.character),
    ];
    for (field, value) in values {
        if let Some(value) = value {
            form.set(field, value.to_string());
        }
    }
}
