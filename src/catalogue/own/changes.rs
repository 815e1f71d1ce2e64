//! What changed between two revisions of an own entry, field by field.

use super::{Document, Sort, fields, form};
use crate::web::units::Units;

/// A field that says something else than before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub label: &'static str,
    /// What it said; empty if nothing.
    pub was: String,
    pub is: String,
}

/// The fields that differ, in the form's order.
pub fn changes(was: &Document, is: &Document, sort: Sort, units: Units) -> Vec<Change> {
    fields::fields(sort)
        .filter_map(|field| {
            let change = Change {
                label: field.label,
                was: form::told(was, field, units),
                is: form::told(is, field, units),
            };
            (change.was != change.is).then_some(change)
        })
        .collect()
}
