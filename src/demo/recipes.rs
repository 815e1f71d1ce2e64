//! How a recipe of the scenario becomes documents: typed into the workbench's form, change by change, and checked.

use super::people::units_of;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::Recipe;
use crate::recipes::forms::check::check;
use crate::recipes::forms::{Group, Workbench, fill};
use crate::recipes::model::Visibility;

/// A recipe and its history.
pub struct Made {
    pub by: &'static str,
    pub title: &'static str,
    pub visibility: Visibility,
    /// The recipe and revision that it was started from.
    pub from: Option<(&'static str, i32)>,
    pub binned: bool,
    pub revisions: Vec<Revision>,
}

/// One revision: what was typed since the one before.
pub struct Revision {
    pub days_ago: i64,
    pub note: &'static str,
    pub changes: Vec<Change>,
}

/// Something typed into the form.
pub enum Change {
    /// A single field: name and text.
    Set(&'static str, &'static str),
    /// One more honey: pick and amount.
    Honey(&'static str, &'static str),
    /// One more of anything else: pick and amount.
    Other(&'static str, &'static str),
    /// Another yeast in the first row.
    Yeast(&'static str),
    /// A cell of a row, counted from 0: group, row, column, text.
    Cell(Group, usize, &'static str, &'static str),
    /// A row taken out.
    Out(Group, usize),
    /// One more step: when and what.
    Step(&'static str, &'static str),
}

impl Made {
    /// A recipe that the club sees.
    pub fn by(by: &'static str, title: &'static str) -> Made {
        Made {
            by,
            title,
            visibility: Visibility::Club,
            from: None,
            binned: false,
            revisions: Vec::new(),
        }
    }

    /// That only its maker sees.
    pub fn private(self) -> Made {
        Made {
            visibility: Visibility::Private,
            ..self
        }
    }

    /// That whoever has a link sees.
    pub fn by_link(self) -> Made {
        Made {
            visibility: Visibility::Link,
            ..self
        }
    }

    /// That lies in its maker's bin.
    pub fn binned(self) -> Made {
        Made {
            binned: true,
            ..self
        }
    }

    /// That was started from a revision of another.
    pub fn from(self, title: &'static str, number: i32) -> Made {
        Made {
            from: Some((title, number)),
            ..self
        }
    }

    /// And one revision more.
    pub fn then(mut self, days_ago: i64, note: &'static str, changes: Vec<Change>) -> Made {
        self.revisions.push(Revision {
            days_ago,
            note,
            changes,
        });
        self
    }
}

/// A revision with its document, and what the form would refuse.
pub struct Version {
    pub note: &'static str,
    pub days_ago: i64,
    pub document: Recipe,
    pub faults: Vec<(String, String)>,
}

/// All revisions of a recipe.
pub fn versions(recipe: &Made) -> Vec<Version> {
    let units = units_of(recipe.by);
    let mut form = match recipe.from {
        Some((title, number)) => beginning(title, number, units),
        None => empty(units),
    };
    form.set("title", recipe.title);
    let mut versions = Vec::new();
    for revision in &recipe.revisions {
        for change in &revision.changes {
            type_in(&mut form, change);
        }
        let checked = check(&form, units, &ClubCatalogue::default());
        versions.push(Version {
            note: revision.note,
            days_ago: revision.days_ago,
            document: checked.recipe,
            faults: checked.faults,
        });
    }
    versions
}

/// The form of a new recipe, without the honey that it proposes.
fn empty(units: crate::web::units::Units) -> Workbench {
    let mut form = fill::fresh(units);
    let proposed: Vec<String> = form
        .rows(Group::Honey)
        .iter()
        .map(|row| row.key.clone())
        .collect();
    for key in proposed {
        form.remove_row(Group::Honey, &key, &ClubCatalogue::default());
    }
    form
}

/// The form as it opens when somebody starts their own from a revision of another recipe.
fn beginning(title: &str, number: i32, units: crate::web::units::Units) -> Workbench {
    let source = super::scenario::all()
        .into_iter()
        .find(|recipe| recipe.title == title);
    let at = usize::try_from(number - 1).unwrap_or(usize::MAX);
    let version = source.and_then(|source| versions(&source).into_iter().nth(at));
    version.map_or_else(
        || empty(units),
        |version| fill::fill(&version.document, units, &ClubCatalogue::default()),
    )
}

fn type_in(form: &mut Workbench, change: &Change) {
    match change {
        Change::Set(name, text) => form.set(name, *text),
        Change::Honey(pick, amount) => {
            let cells = [("pick", *pick), ("amount", *amount), ("when", "must")];
            form.add_row(Group::Honey, &cells);
        }
        Change::Other(pick, amount) => {
            form.add_row(Group::Other, &[("pick", *pick), ("amount", *amount)]);
        }
        Change::Yeast(pick) => {
            if let Some(row) = form.rows_mut(Group::Yeast).first_mut() {
                row.set("pick", *pick);
            }
        }
        Change::Cell(group, at, column, text) => {
            if let Some(row) = form.rows_mut(*group).get_mut(*at) {
                row.set(column, *text);
            }
        }
        Change::Out(group, at) => {
            if let Some(row) = form.rows(*group).get(*at) {
                let key = row.key.clone();
                form.remove_row(*group, &key, &ClubCatalogue::default());
            }
        }
        Change::Step(when, text) => {
            form.add_row(Group::Step, &[("when", *when), ("text", *text)]);
        }
    }
}
