//! From typed text to a recipe document: every fault beside its field, everything sound kept.

mod items;
mod make;
mod rest;

use super::{Group, Row, Workbench};
use crate::engine::problem::Problem;
use crate::engine::reading;
use crate::engine::recipe::Recipe;
use crate::web::units::{Fault, Units};

/// A checked form.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    /// The document as far as it could be made; whole when there are no faults.
    pub recipe: Recipe,
    /// Field id → what to write instead, in the form's order.
    pub faults: Vec<(String, String)>,
    /// Places of the document (JSON Pointers) → field ids.
    places: Vec<(String, String)>,
    /// Row id of each ingredient, yeast and feed in the document's order.
    pub item_rows: Vec<(Group, String)>,
    /// Feed rows in the document's order.
    pub feed_rows: Vec<String>,
}

impl Checked {
    /// The field to which a place of the document belongs: that of the longest pointer that contains it.
    pub fn field_of(&self, problem: &Problem) -> Option<&str> {
        let holds = |place: &str| {
            problem.path == place
                || problem
                    .path
                    .strip_prefix(place)
                    .is_some_and(|rest| rest.starts_with('/'))
        };
        let known = self.places.iter().filter(|(place, _)| holds(place));
        known
            .max_by_key(|(place, _)| place.len())
            .map(|(_, field)| field.as_str())
    }
}

struct Checker<'a> {
    form: &'a Workbench,
    units: Units,
    out: Checked,
}

/// Checks a form typed by a member who reads these units.
pub fn check(form: &Workbench, units: Units) -> Checked {
    let mut checker = Checker {
        form,
        units,
        out: Checked::default(),
    };
    checker.head();
    checker.what_to_make();
    for group in [Group::Honey, Group::Other] {
        for row in form.rows(group) {
            checker.item(group, row);
        }
    }
    checker.filler();
    for row in form.rows(Group::Yeast) {
        checker.yeast(row);
    }
    for row in form.rows(Group::Feed) {
        checker.feed(row);
    }
    checker.feeding_and_vessel();
    for row in form.rows(Group::Step) {
        checker.step(row);
    }
    checker.out
}

impl Checker<'_> {
    fn refuse(&mut self, field: impl Into<String>, why: impl ToString) {
        self.out.faults.push((field.into(), why.to_string()));
    }

    fn place(&mut self, pointer: impl Into<String>, field: impl Into<String>) {
        self.out.places.push((pointer.into(), field.into()));
    }

    /// Reads a text that may be empty; notes what was typed under its pointer.
    fn optional<T>(
        &mut self,
        field: &str,
        text: &str,
        pointer: &str,
        read: impl FnOnce(&str) -> Result<T, Fault>,
    ) -> Option<T> {
        self.place(pointer, field);
        if text.trim().is_empty() {
            return None;
        }
        match read(text) {
            Ok(value) => {
                self.out
                    .recipe
                    .typed
                    .insert(pointer.to_owned(), text.trim().to_owned());
                Some(value)
            }
            Err(fault) => {
                self.refuse(field, fault);
                None
            }
        }
    }
}

/// The value of the filler's choice that means this row.
pub fn filler_word(group: Group, row: &Row) -> String {
    format!("{}-{}", group.word(), row.key)
}

/// Reads a stored document.
pub fn stored(document: &serde_json::Value) -> Option<Recipe> {
    reading::read(&document.to_string()).ok()
}
