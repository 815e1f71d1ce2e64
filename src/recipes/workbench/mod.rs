//! The workbench: where a recipe is typed, recalculated on every edit, kept as a draft and saved.

pub mod advice;
pub mod assume;
pub mod buttons;
pub mod choices;
pub mod labels;
mod opening;
mod page;
pub mod pages;
mod parts;
mod saving;
pub mod store;
pub mod view;

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};

use advice::{Advice, Case, advise};
use assume::assume;
pub(super) use opening::form_of;
pub(super) use page::glance;
pub(super) use pages::{keep_draft, open_unsaved};

use super::forms::Workbench;
use super::forms::check::{Checked, check};
use super::numbers::{self, NumbersView, Reader};
use crate::catalogue::club::ClubCatalogue;
use crate::cupboard::stock::{Stock, priced};
use crate::engine::{self, Formulation};
use crate::web::day;
use crate::web::viewer::{Member, Viewer};

/// A form with all that follows from it.
pub struct Worked {
    pub checked: Checked,
    pub numbers: Formulation,
    pub view: NumbersView,
    /// Whether the form read well enough to be reckoned with.
    pub counted: bool,
    /// Fields in whose place something usual was taken.
    pub assumed: BTreeSet<String>,
    pub advice: Advice,
    /// The day that dates count from.
    pub mixing_day: NaiveDate,
}

/// Whose units, sachets, zone, time and catalogue a page speaks in.
pub fn reader(viewer: &Viewer, now: DateTime<Utc>, catalogue: ClubCatalogue) -> Reader {
    let settings = viewer.settings();
    Reader {
        units: settings.units,
        zone: settings.zone,
        now,
        sachet_g: settings.sachet_g,
        catalogue,
        cupboard: Stock::default(),
        vessels: Vec::new(),
    }
}

/// The engine's settings of a member.
pub fn engine_settings(viewer: &Viewer) -> engine::Settings {
    engine::Settings {
        sachet_g: viewer.settings().sachet_g,
    }
}

/// Checks a form and runs the engine on it. A form with faults in it has no numbers: half a recipe would mislead.
pub fn work(form: &Workbench, member: &Member, reader: &Reader) -> Worked {
    let viewer = Viewer::known(member.clone());
    let assumed = assume(form, reader);
    let mut checked = check(&assumed.form, reader.units, &reader.catalogue);
    let day = day::read(form.text("mixing_day"), today(reader), reader.units);
    if day.is_none() {
        let why = day::WHAT_TO_WRITE.to_owned();
        checked.faults.push(("mixing_day".to_owned(), why));
    }
    let countable = checked.faults.iter().all(|(field, _)| {
        is_wordy(field) || (field == "vessel_brim" && form.text(field).trim().is_empty())
    });
    let numbers = if countable {
        let priced = priced(&checked.recipe, &reader.cupboard, &reader.catalogue);
        engine::formulate(&priced, &engine_settings(&viewer))
    } else {
        Formulation::default()
    };
    let mixing_day = day.unwrap_or_else(|| today(reader));
    let mut view = numbers::view(&checked.recipe, &numbers, &reader.clone().on(mixing_day));
    view.problems = numbers::problems(&numbers.problems, reader.units, |problem| {
        checked.field_of(problem)
    });
    let advice = advise(&Case {
        recipe: &checked.recipe,
        numbers: &numbers,
        settings: &engine_settings(&viewer),
        reader,
        mixing_day,
    });
    Worked {
        checked,
        numbers,
        view,
        counted: countable,
        assumed: assumed.fields,
        advice,
        mixing_day,
    }
}

/// The day it is where the reader lives.
pub fn today(reader: &Reader) -> NaiveDate {
    reader.today()
}

/// Whether a field changes no number, whatever is wrong with it.
fn is_wordy(field: &str) -> bool {
    matches!(
        field,
        "title" | "note" | "notes" | "style" | "visibility" | "mixing_day"
    ) || field.ends_with("_word")
        || field.starts_with("step-")
        || field.ends_with("-remark")
        || field.ends_with("-price")
        || field.ends_with("-days")
}
