//! The workbench: where a recipe is typed, recalculated on every edit, kept as a draft and saved.

pub mod choices;
mod page;
pub mod pages;
mod saving;
pub mod view;

use chrono::{DateTime, Utc};

use super::forms::check::{Checked, check};
use super::forms::{Group, MOST_ROWS, Workbench};
use super::numbers::{self, NumbersView, Reader};
use crate::engine::{self, Formulation};
use crate::web::viewer::{Member, Viewer};

/// A form with all that follows from it.
pub struct Worked {
    pub checked: Checked,
    pub numbers: Formulation,
    pub view: NumbersView,
    /// Whether the form read well enough to be reckoned with.
    pub counted: bool,
}

/// Whose units, sachets, zone and time a page speaks in.
pub fn reader(viewer: &Viewer, now: DateTime<Utc>) -> Reader {
    let settings = viewer.settings();
    Reader {
        units: settings.units,
        zone: settings.zone,
        now,
        sachet_g: settings.sachet_g,
    }
}

/// The engine's settings of a member.
pub fn engine_settings(viewer: &Viewer) -> engine::Settings {
    engine::Settings {
        sachet_g: viewer.settings().sachet_g,
    }
}

/// Checks a form and runs the engine on it. A form with faults in it has no numbers: half a recipe would mislead.
pub fn work(form: &Workbench, member: &Member, now: DateTime<Utc>) -> Worked {
    let viewer = Viewer::known(member.clone());
    let reader = reader(&viewer, now);
    let checked = check(form, reader.units);
    let countable = checked.faults.iter().all(|(field, _)| {
        is_wordy(field) || (field == "vessel_brim" && form.text(field).trim().is_empty())
    });
    let numbers = if countable {
        engine::formulate(&checked.recipe, &engine_settings(&viewer))
    } else {
        Formulation::default()
    };
    let mut view = numbers::view(&checked.recipe, &numbers, &reader);
    view.problems = numbers::problems(&numbers.problems, reader.units, |problem| {
        checked.field_of(problem)
    });
    Worked {
        checked,
        numbers,
        view,
        counted: countable,
    }
}

/// Whether a field changes no number, whatever is wrong with it.
fn is_wordy(field: &str) -> bool {
    matches!(field, "title" | "note" | "notes" | "style" | "visibility")
        || field.ends_with("_word")
        || field.starts_with("step-")
        || field.ends_with("-remark")
        || field.ends_with("-price")
        || field.ends_with("-days")
}

/// What a button of the form asks for besides recalculating.
pub fn press(form: &mut Workbench, button: &str) {
    let mut words = button.splitn(3, '-');
    let (verb, group, key) = (
        words.next(),
        words.next().and_then(Group::from_word),
        words.next(),
    );
    match (verb, group, key) {
        (Some("add"), Some(group), None) if form.rows(group).len() < MOST_ROWS => {
            form.add_row(group, new_row(group));
        }
        (Some("remove"), Some(group), Some(key)) => {
            form.remove_row(group, key);
            // Every recipe wants a yeast: the row stays, empty, so that the problem has a place to stand.
            if group == Group::Yeast && form.rows(group).is_empty() {
                form.add_row(group, &[]);
            }
        }
        (Some("raise"), Some(group), Some(key)) => form.raise_row(group, key),
        _ => {}
    }
}

/// What a row begins with.
fn new_row(group: Group) -> &'static [(&'static str, &'static str)] {
    match group {
        Group::Honey => &[("pick", "honey-wildflower"), ("when", "must")],
        Group::Yeast => &[("when", "later")],
        Group::Feed => &[("pick", "feed-organic")],
        Group::Other | Group::Step => &[],
    }
}
