//! How much of its sugar a fruit gives, by the form it goes in as, and how long that takes.

use super::{Certainty, Form, read};
use serde::Deserialize;

/// What one form gives.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SugarOut {
    pub form: Form,
    /// What is meant by the form, in plain words.
    pub words: String,
    /// Part of the sugar that comes out, percent, low and high.
    pub percent: [f64; 2],
    /// After how many days, low and high.
    pub days: [f64; 2],
    pub source: String,
    pub certainty: Certainty,
}

pub(super) fn all() -> Vec<SugarOut> {
    read("forms of fruit", include_str!("data/sugar_out.json"))
}
