//! The workbench as its template wants it: every field with its text, its fault and its note.

mod at_home;
mod bare;
mod fillers;
mod folds;
mod notes;

use std::collections::{BTreeSet, HashMap};

use chrono::NaiveDate;

use crate::catalogue::club::ClubCatalogue;
use crate::cupboard::stock::Stock;
use crate::engine::formulation::Formulation;
use crate::recipes::forms::{self, check::Checked};
use crate::recipes::forms::{Group, SINGLE, Workbench, cell_id};
use crate::recipes::numbers::{NumbersView, ProblemLine};
use crate::recipes::workbench::assume;
use crate::web::units::Units;

pub use folds::FoldView;

/// One field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FieldView {
    pub id: String,
    pub name: String,
    pub value: String,
    pub message: String,
    pub note: String,
    /// The unit in which a bare number is read; empty where none goes without saying.
    pub bare: &'static str,
}

/// One row of fields.
#[derive(Clone, Debug, PartialEq)]
pub struct RowView {
    pub key: String,
    /// Its place, from 1.
    pub number: usize,
    /// Whether it is one's own and not of the catalogue, or shows more than the usual fields.
    pub open: bool,
    /// Where the catalogue's figures come from.
    pub source: String,
    cells: HashMap<&'static str, FieldView>,
}

impl RowView {
    /// A cell by its column.
    pub fn cell(&self, column: &str) -> FieldView {
        self.cells.get(column).cloned().unwrap_or_default()
    }

    /// Whether this row's choice is "my own".
    pub fn is_own(&self) -> bool {
        self.cell("pick").value == "own"
    }
}

/// The whole form.
#[derive(Clone, Debug, Default)]
pub struct FormView {
    single: HashMap<&'static str, FieldView>,
    rows: HashMap<Group, Vec<RowView>>,
    fillers: Vec<(String, String)>,
    folds: HashMap<&'static str, FoldView>,
    /// Faults of fields, for the summary.
    pub faults: Vec<(String, String)>,
}

impl FormView {
    /// A single field.
    pub fn field(&self, name: &str) -> FieldView {
        self.single.get(name).cloned().unwrap_or_default()
    }

    /// The rows of a group, by its word.
    pub fn rows(&self, group: &str) -> &[RowView] {
        Group::from_word(group)
            .and_then(|group| self.rows.get(&group))
            .map_or(&[], Vec::as_slice)
    }

    /// A part that the five questions fold away.
    pub fn fold(&self, word: &str) -> FoldView {
        self.folds.get(word).cloned().unwrap_or_default()
    }

    /// All such parts: word and what stands in its line.
    pub fn folds(&self) -> Vec<(&'static str, &FoldView)> {
        let mut all: Vec<_> = self
            .folds
            .iter()
            .map(|(word, fold)| (*word, fold))
            .collect();
        all.sort_by_key(|(word, _)| *word);
        all
    }

    /// Whether more is said of the vessel than which of the usual ones it is.
    pub fn measures_vessel(&self) -> bool {
        let measures = self
            .single
            .values()
            .filter(|field| field.name.starts_with("vessel_") && field.name != "vessel_pick");
        self.field("vessel_pick").value == assume::OWN
            || measures
                .into_iter()
                .any(|field| !field.value.trim().is_empty() || !field.message.is_empty())
    }

    /// Whether anything is said of the water.
    pub fn reports_water(&self) -> bool {
        let told = |field: &FieldView| !field.value.trim().is_empty() || !field.message.is_empty();
        let fields = forms::water::IONS.map(|(field, _)| self.field(field));
        fields.iter().any(told) || !self.rows("salt").is_empty()
    }

    /// Id of the first field of the row that would be added next.
    pub fn next(&self, group: &str) -> String {
        let most = self
            .rows(group)
            .iter()
            .filter_map(|row| row.key.parse::<u32>().ok())
            .max()
            .unwrap_or(0);
        let column = if group == "step" { "when" } else { "pick" };
        format!("{group}-{}-{column}", most + 1)
    }

    /// Every field, in the order of their ids: what stands beside them follows live edits.
    pub fn regions(&self) -> Vec<&FieldView> {
        let rows = self
            .rows
            .values()
            .flatten()
            .flat_map(|row| row.cells.values());
        let mut all: Vec<_> = self.single.values().chain(rows).collect();
        all.sort_by(|one, other| one.id.cmp(&other.id));
        all
    }

    /// Choices of what fills up: value and words.
    pub fn fillers(&self) -> &[(String, String)] {
        &self.fillers
    }

    /// Adds a fault that only the database could find.
    pub fn add_fault(&mut self, field: &str, why: &str) {
        let of_field = self.single.values_mut().find(|single| single.name == field);
        if let Some(single) = of_field {
            single.message = why.to_owned();
        }
        self.faults.push((field.to_owned(), why.to_owned()));
    }
}

/// What the view is made from.
pub struct Material<'a> {
    pub form: &'a Workbench,
    pub checked: &'a Checked,
    pub numbers: &'a Formulation,
    pub view: &'a NumbersView,
    pub units: Units,
    pub catalogue: &'a ClubCatalogue,
    /// What the member has at home.
    pub cupboard: &'a Stock,
    /// Fields in whose place something usual was taken.
    pub assumed: &'a BTreeSet<String>,
    /// The day that dates count from.
    pub mixing_day: NaiveDate,
    /// The group in which a button was pressed.
    pub touched: Option<Group>,
    /// Whether faults of the text are shown: on live edits only those of fields that say something.
    pub scold: bool,
}

/// Two notes under one field.
fn joined(notes: [String; 2]) -> String {
    let said = notes.into_iter().filter(|note| !note.is_empty());
    said.collect::<Vec<_>>().join("; ")
}

/// Builds the view.
pub fn form_view(material: &Material<'_>) -> FormView {
    let Material { form, checked, .. } = material;
    let mut messages: HashMap<&str, &str> = HashMap::new();
    for ProblemLine { field, words } in &material.view.problems {
        if !field.is_empty() {
            messages
                .entry(stands_at(form, field))
                .or_insert(&words.sentence);
        }
    }
    let mut faults = Vec::new();
    for (field, why) in &checked.faults {
        // While somebody types, an empty field is not scolded.
        if material.scold || !is_empty(form, field) {
            messages.insert(stands_at(form, field), why);
            faults.push((stands_at(form, field).to_owned(), why.clone()));
        }
    }
    let message = |id: &str| {
        messages
            .get(id)
            .map(|text| (*text).to_owned())
            .unwrap_or_default()
    };
    let single = SINGLE.iter().chain(&["mixing_day"]).map(|name| {
        let field = FieldView {
            id: (*name).to_owned(),
            name: (*name).to_owned(),
            value: form.text(name).to_owned(),
            message: message(name),
            note: notes::single_note(material, name),
            bare: bare::of_single(name, material.units),
        };
        (*name, field)
    });
    let mut view = FormView {
        single: single.collect(),
        rows: HashMap::new(),
        fillers: fillers::choices(form, material.catalogue),
        folds: folds::all(material, &|name| {
            messages
                .keys()
                .any(|field| *field == name || (name.ends_with('-') && field.starts_with(name)))
        }),
        faults,
    };
    // The value of what fills up bears its name, which may have changed since.
    if let Some(field) = view.single.get_mut("filler") {
        field.value = fillers::chosen(form, &view.fillers);
    }
    for group in Group::ALL {
        let rows = form.rows(group).iter().enumerate().map(|(at, row)| {
            let cells: HashMap<&'static str, FieldView> = group
                .columns()
                .iter()
                .map(|column| {
                    let id = cell_id(group, &row.key, column);
                    let field = FieldView {
                        name: group.field(column),
                        value: row.cell(column).to_owned(),
                        message: message(&id),
                        note: joined([
                            notes::cell_note(material, group, row, column),
                            at_home::note(material, group, row, column),
                        ]),
                        bare: bare::of_cell(material, group, row, column),
                        id,
                    };
                    (*column, field)
                })
                .collect();
            let seldom: &[&str] = match group {
                Group::Honey | Group::Other => &[
                    "name",
                    "kind",
                    "form",
                    "days",
                    "water",
                    "fermentable",
                    "unfermentable",
                    "insoluble",
                    "yan",
                    "acid",
                    "density",
                    "price",
                    "remark",
                ],
                Group::Yeast => &["name", "tolerance", "need", "coldest", "warmest"],
                Group::Feed => &["name", "ammonium", "organic", "most", "price", "share"],
                Group::Salt | Group::Step => &[],
            };
            let asked: &[&str] = match assume::asks(form) {
                true => &["amount", "when"],
                false => &[],
            };
            let faulty = seldom.iter().chain(asked).any(|column| {
                cells
                    .get(column)
                    .is_some_and(|cell| !cell.message.is_empty())
            });
            RowView {
                key: row.key.clone(),
                number: at + 1,
                open: row.cell("pick") == "own" || faulty,
                source: notes::source(material.catalogue, group, row),
                cells,
            }
        });
        view.rows.insert(group, rows.collect());
    }
    view
}

/// Where a fault stands: an answer hides the field for which it stands.
fn stands_at<'a>(form: &Workbench, field: &'a str) -> &'a str {
    let answered = |choice: &str, answers: &[assume::Answer]| {
        let chosen = form.text(choice);
        answers.iter().any(|answer| answer.word == chosen)
    };
    match field {
        "strength" if answered("aim", &assume::STRENGTHS) => "aim",
        "final_gravity" if answered("finish", &assume::SWEETNESSES) => "finish",
        field => field,
    }
}

fn is_empty(form: &Workbench, field: &str) -> bool {
    if let Some((group, rest)) = field.split_once('-')
        && let Some(group) = Group::from_word(group)
        && let Some((key, column)) = rest.split_once('-')
    {
        let row = form.rows(group).iter().find(|row| row.key == key);
        return row.is_none_or(|row| row.cell(column).trim().is_empty());
    }
    form.text(field).trim().is_empty()
}
