//! The forms of refining series: from text to what is kept, and back.

use super::model::{AIM_MAX, DECISION_MAX, NAME_MAX, STEP_MAX, Said, Series};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

/// The fields of a series, by which two texts of it are compared.
pub const OF_SERIES: &[(&str, &str)] = &[
    ("name", "What it is called"),
    ("aim", "What it is to become"),
];

/// The fields of a step.
pub const OF_STEP: &[(&str, &str)] = &[
    ("question", "The question"),
    ("change", "The one change"),
    ("expected", "What is expected"),
    ("decision", "The decision"),
];

/// Name and aim of a series.
///
/// # Errors
/// When a field came twice.
pub fn series(typed: &mut Typed<'_>) -> Result<(String, String), Error> {
    let why = "Write what it is called, such as Heather mead, less acid.";
    let name = typed.wanted("name", NAME_MAX, why)?;
    Ok((name, typed.lines("aim", AIM_MAX)?))
}

/// What is said of a batch.
///
/// # Errors
/// When a field came twice.
pub fn step(typed: &mut Typed<'_>) -> Result<Said, Error> {
    let said = Said {
        question: typed.lines("question", STEP_MAX)?,
        change: typed.lines("change", STEP_MAX)?,
        expected: typed.lines("expected", STEP_MAX)?,
        decision: typed.lines("decision", DECISION_MAX)?,
    };
    if said.question.is_empty() {
        let why = "Write what this batch is to tell, such as: is half the acid enough?";
        typed.form.refuse("question", why);
    }
    Ok(said)
}

/// The form that holds a series.
pub fn of_series(series: &Series) -> FormState {
    let mut form = FormState::new();
    form.set("name", series.name.clone());
    form.set("aim", series.aim.clone());
    form
}

/// The form that holds what is said of a batch.
pub fn of_step(said: &Said) -> FormState {
    let mut form = FormState::new();
    form.set("question", said.question.clone());
    form.set("change", said.change.clone());
    form.set("expected", said.expected.clone());
    form.set("decision", said.decision.clone());
    form
}
