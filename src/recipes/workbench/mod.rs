//! The workbench: where a recipe is typed, recalculated on every edit, kept as a draft and saved.

pub mod choices;
pub mod pages;
pub mod view;

use chrono::{DateTime, Utc};

use super::forms::check::{Checked, check};
use super::forms::{Group, Workbench};
use super::numbers::{self, NumbersView, Reader};
use crate::engine::{self, Formulation};
use crate::web::viewer::{Member, Viewer};

/// A form with all that follows from it.
pub struct Worked {
    pub checked: Checked,
    pub numbers: Formulation,
    pub view: NumbersView,
}

/// Whose units, sachets, zone and time a page speaks in.
pub fn reader(viewer: &Viewer, now: DateTime<Utc>) -> Reader {
    let settings = viewer.settings();
    Reader {
        units: settings.units,
        zone: settings.zone,
        now,
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
    // A missing name or note changes no number.
    let wordy = ["title", "note", "notes"];
    let countable = checked
        .faults
        .iter()
        .all(|(field, _)| wordy.contains(&field.as_str()));
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
    }
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
        (Some("add"), Some(group), None) => {
            if let Some(row) = form.add_row(group) {
                match group {
                    Group::Honey => {
                        row.set("pick", "honey-wildflower");
                        row.set("amount", "");
                        row.set("when", "must");
                    }
                    Group::Other => row.set("when", ""),
                    Group::Yeast => row.set("when", "later"),
                    Group::Feed => row.set("pick", "feed-organic"),
                    Group::Step => {}
                }
            }
        }
        (Some("remove"), Some(group), Some(key)) => form.remove_row(group, key),
        (Some("raise"), Some(group), Some(key)) => form.raise_row(group, key),
        _ => {}
    }
}
