//! The forms of the desk.

use super::deeds::Came;
use crate::competitions::entries::{Arrival, Entry};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::typed::Typed;
use crate::web::units::parse_whole;

/// The most bottles of one entry.
const BOTTLES_MAX: i32 = 24;
/// Letters of a reason, and of the words to mask.
pub const REASON_MAX: usize = 600;
const WORDS_MAX: usize = 1_000;

/// Fields by which two texts of what came are compared.
pub const FIELDS: &[(&str, &str)] = &[("arrival", "How they came"), ("bottles", "Bottles")];

/// Something that a steward looks at.
pub struct Look {
    pub field: &'static str,
    pub words: &'static str,
    /// What to do where it is not ticked.
    pub else_do: &'static str,
}

/// What a steward looks at: each must hold.
pub const LOOKS: &[Look] = &[
    Look {
        field: "bare",
        words: "The bottles bear the code and nothing else: no label, no writing, no shape that is known",
        else_do: "Look at the bottles and tick it. If they tell anything, put them aside and tell an organiser.",
    },
    Look {
        field: "cap",
        words: "The caps bear no mark",
        else_do: "Look at the caps and tick it. If one bears a mark, put the bottle aside and tell an organiser.",
    },
    Look {
        field: "words",
        words: "What judges read tells nothing, once the words below are masked",
        else_do: "Read what judges read and tick it. If it cannot be masked, tell an organiser.",
    },
];

/// How bottles came, as choices.
pub const CAME: &[(&str, &str)] = &[
    ("here", "here, and sound"),
    ("leaking", "here, and one leaks"),
    ("late", "too late"),
    ("missing", "missing"),
];

/// Reads how bottles came. Late ones are taken in by an organiser alone, with a reason.
///
/// # Errors
/// When a field came twice.
pub fn came(
    posted: &Posted,
    entry: &Entry,
    organises: bool,
) -> Result<Result<Came, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let arrival = Arrival::from_word(typed.text("arrival")?);
    if arrival.is_none() {
        typed.form.refuse("arrival", "Choose how they came.");
    }
    let is_missing = arrival == Some(Arrival::Missing);
    let why = format!("Write how many bottles are there, a whole number up to {BOTTLES_MAX}.");
    let bottles = match (typed.text("bottles")?, is_missing) {
        (_, true) => Some(0),
        (text, false) => parse_whole(text, 1, BOTTLES_MAX).ok(),
    };
    if bottles.is_none() {
        typed.form.refuse("bottles", why);
    }
    let reason = typed.line("reason", REASON_MAX)?;
    let takes_late_in =
        entry.arrival == Some(Arrival::Late) && arrival.is_some_and(Arrival::can_be_poured);
    if takes_late_in && !organises {
        let why = "It came too late. Whether it is poured all the same, an organiser decides.";
        typed.form.refuse("arrival", why);
    } else if takes_late_in && reason.is_empty() {
        let why = "Write why it is taken in all the same: it stands in the list of deeds.";
        typed.form.refuse("reason", why);
    }
    Ok(match arrival.zip(bottles) {
        Some((arrival, bottles)) if typed.form.is_sound() => Ok(Came {
            arrival,
            bottles,
            reason,
        }),
        _ => Err(typed.form),
    })
}

/// Reads what a steward looked at; the words to mask, one on each line.
///
/// # Errors
/// When a field came twice.
pub fn looked(posted: &Posted) -> Result<Result<Vec<String>, FormState>, Error> {
    let mut typed = Typed::of(posted);
    for Look { field, else_do, .. } in LOOKS {
        if typed.text(field)?.is_empty() {
            typed.form.refuse(field, *else_do);
        }
    }
    let words = typed.lines("mask", WORDS_MAX)?;
    let words = words
        .lines()
        .map(|word| word.trim().to_owned())
        .filter(|word| !word.is_empty())
        .collect();
    Ok(match typed.form.is_sound() {
        true => Ok(words),
        false => Err(typed.form),
    })
}

/// Reads why an entry is taken out.
///
/// # Errors
/// When a field came twice.
pub fn reason(posted: &Posted) -> Result<Result<String, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let why = "Write which rule it breaks: its maker and the list of deeds are told.";
    let reason = typed.wanted("out_reason", REASON_MAX, why)?;
    Ok(match typed.form.is_sound() {
        true => Ok(reason),
        false => Err(typed.form),
    })
}
