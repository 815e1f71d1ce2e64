//! From typed text to a recipe document: every fault beside its field, everything sound kept.

mod feeding;
mod items;
mod made_of;
mod target;
mod water;

use super::quantity::Quantity;
use super::{Group, LONGEST, NONE, Row, Workbench, cell_id};
use crate::catalogue::club::ClubCatalogue;
use crate::engine::problem::{Problem, ProblemCode};
use crate::engine::reading;
use crate::engine::recipe::{Declared, Recipe, Step};
use crate::recipes::model::{NOTE_MAX, TITLE_MAX};
use crate::web::units::Units;

pub(super) use items::{kind_of, usual_form};
pub use made_of::{FIGURES, PARTS, make_up, spread_text, usual_density, usual_spread};
pub use target::IDLE_END;

/// A checked form.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    /// The document as far as it could be made; whole when there are no faults.
    pub recipe: Recipe,
    /// Field id → what to write instead, in the form's order.
    pub faults: Vec<(String, String)>,
    /// Places of the document (JSON Pointers) → field ids.
    places: Vec<(String, String)>,
    /// Row of each ingredient in the document's order.
    pub item_rows: Vec<(Group, String)>,
    /// Yeast rows in the document's order.
    pub yeast_rows: Vec<String>,
    /// Feed rows in the document's order.
    pub feed_rows: Vec<String>,
}

impl Checked {
    /// The field to which a problem belongs: that of the longest pointer that contains its place.
    pub fn field_of(&self, problem: &Problem) -> Option<&str> {
        match problem.code {
            // Where honey is solved the engine blames the aim; what helps is more room, or more honey.
            ProblemCode::NoRoomForWater | ProblemCode::VolumeOutOfReach => self
                .field_at("/aim/use_honey_kg")
                .filter(|field| *field == "honey_to_use")
                .or_else(|| self.field_at("/volume_l")),
            _ => self.field_at(&problem.path),
        }
    }

    /// Where in its list of the document a row stands.
    pub fn place_of(&self, group: Group, key: &str) -> Option<usize> {
        let of = |rows: &[String]| rows.iter().position(|row| row == key);
        match group {
            Group::Honey | Group::Other => {
                let mut rows = self.item_rows.iter();
                rows.position(|(of, row)| *of == group && row == key)
            }
            Group::Yeast => of(&self.yeast_rows),
            Group::Feed => of(&self.feed_rows),
            Group::Step | Group::Salt => None,
        }
    }

    fn field_at(&self, path: &str) -> Option<&str> {
        let holds = |place: &str| {
            path.strip_prefix(place)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        };
        let known = self.places.iter().filter(|(place, _)| holds(place));
        known
            .max_by_key(|(place, _)| place.len())
            .map(|(_, field)| field.as_str())
    }
}

/// What a field that may stay empty says.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Said {
    /// Nothing was typed: the usual counts.
    Nothing,
    /// The word "none": not even the usual.
    NotAny,
    Value(f64),
    Faulty,
}

impl Said {
    fn or(self, usual: Option<f64>) -> Option<f64> {
        match self {
            Said::Nothing => usual,
            Said::Value(value) => Some(value),
            Said::NotAny | Said::Faulty => None,
        }
    }
}

struct Checker<'a> {
    form: &'a Workbench,
    units: Units,
    catalogue: &'a ClubCatalogue,
    out: Checked,
}

/// Checks a form typed by a member who reads these units and picks from this catalogue.
pub fn check(form: &Workbench, units: Units, catalogue: &ClubCatalogue) -> Checked {
    let mut checker = Checker {
        form,
        units,
        catalogue,
        out: Checked::default(),
    };
    checker.lengths();
    checker.head();
    checker.what_to_make();
    checker.items();
    checker.filler();
    for row in form.rows(Group::Yeast) {
        checker.yeast(row);
    }
    for row in form.rows(Group::Feed) {
        checker.feed(row);
    }
    checker.feeding();
    checker.vessel();
    checker.water_report();
    for row in form.rows(Group::Step) {
        checker.step(row);
    }
    checker.lists();
    checker.out
}

impl Checker<'_> {
    fn refuse(&mut self, field: impl Into<String>, why: impl ToString) {
        self.out.faults.push((field.into(), why.to_string()));
    }

    fn place(&mut self, pointer: impl Into<String>, field: impl Into<String>) {
        self.out.places.push((pointer.into(), field.into()));
    }

    /// Reads a text that may be empty; keeps what was typed under its pointer.
    fn optional(&mut self, field: &str, text: &str, pointer: &str) -> Option<f64> {
        self.place(pointer, field);
        if text.trim().is_empty() {
            return None;
        }
        match Quantity::at(pointer).read(text, self.units) {
            Ok(value) => {
                self.keep(pointer, text);
                Some(value)
            }
            Err(fault) => {
                self.refuse(field, fault);
                None
            }
        }
    }

    /// The same where something usual stands in for an empty field, and "none" for nothing at all.
    fn said(&mut self, field: &str, text: &str, pointer: &str) -> Said {
        match text.trim() {
            "" => {
                self.place(pointer, field);
                Said::Nothing
            }
            NONE => {
                self.place(pointer, field);
                self.keep(pointer, NONE);
                Said::NotAny
            }
            text => self
                .optional(field, text, pointer)
                .map_or(Said::Faulty, Said::Value),
        }
    }

    /// Keeps a text that says what would stand there anyway: left out, nobody could tell that it was typed.
    fn keep_usual(&mut self, pointer: &str, text: &str, usual: Option<&str>) {
        if usual == Some(text) {
            self.keep(pointer, text);
        }
    }

    /// Keeps a text as it was typed.
    fn keep(&mut self, pointer: &str, text: &str) {
        self.out
            .recipe
            .typed
            .insert(pointer.to_owned(), text.trim().to_owned());
    }

    /// Keeps a text that the present choice leaves unused, whether or not it can be read. A number without a unit
    /// gets the one it has for its writer: nothing else would say so to a reader of other units.
    fn idle(&mut self, pointer: &str, text: &str) {
        if text.trim().is_empty() {
            return;
        }
        let quantity = Quantity::at(pointer);
        let read = quantity.read(text, self.units);
        let differs = |other: Units| quantity.read(text, other) != read;
        match &read {
            Ok(value) if Units::ALL.into_iter().any(differs) => {
                let text = quantity.write(*value, self.units);
                self.keep(pointer, &text);
            }
            _ => self.keep(pointer, text),
        }
    }

    /// Text longer than any recipe needs is refused beside its field, never cut.
    fn lengths(&mut self) {
        let too_long = |text: &str| text.chars().nth(LONGEST).is_some();
        let why = format!("Write at most {LONGEST} characters here.");
        for name in super::SINGLE {
            if too_long(self.form.text(name)) {
                self.refuse(*name, &why);
            }
        }
        for group in Group::ALL {
            for row in self.form.rows(group) {
                for column in group.columns() {
                    if too_long(row.cell(column)) {
                        self.refuse(cell_id(group, &row.key, column), &why);
                    }
                }
            }
        }
    }

    fn word(&self, name: &str) -> Option<String> {
        Some(self.form.text(name).trim().to_owned()).filter(|text| !text.is_empty())
    }

    fn head(&mut self) {
        let title = self.form.text("title").trim();
        if title.is_empty() {
            self.refuse("title", "Give the recipe a name.");
        } else if title.chars().count() > TITLE_MAX {
            self.refuse(
                "title",
                format!("Write a name of at most {TITLE_MAX} characters."),
            );
        }
        if self.form.text("note").trim().chars().count() > NOTE_MAX {
            self.refuse(
                "note",
                format!("Write a note of at most {NOTE_MAX} characters."),
            );
        }
        let declared = Declared {
            sweetness: self.word("sweetness_word"),
            strength: self.word("strength_word"),
            carbonation: self.word("carbonation_word"),
        };
        let style = self.word("style");
        let recipe = &mut self.out.recipe;
        recipe.title = title.to_owned();
        recipe.notes = self.form.text("notes").trim().to_owned();
        recipe.style = style;
        recipe.declared = Some(declared).filter(|declared| *declared != Declared::default());
    }

    /// Where problems of a whole list belong: its first row, else the aim that it does not meet.
    fn lists(&mut self) {
        let first = self.form.rows(Group::Honey).first();
        let honey = first.map(|row| cell_id(Group::Honey, &row.key, "amount"));
        self.place("/ingredients", honey.unwrap_or_else(|| "aim".to_owned()));
        if let Some(row) = self.form.rows(Group::Yeast).first() {
            self.place("/yeasts", cell_id(Group::Yeast, &row.key, "pick"));
        }
    }

    fn step(&mut self, row: &Row) {
        if row.is_blank(&["when", "text"]) {
            return;
        }
        self.out.recipe.process.push(Step {
            when: row.cell("when").trim().to_owned(),
            text: row.cell("text").trim().to_owned(),
        });
    }
}

/// Reads a stored document.
pub fn stored(document: &serde_json::Value) -> Option<Recipe> {
    reading::read(&document.to_string()).ok()
}
