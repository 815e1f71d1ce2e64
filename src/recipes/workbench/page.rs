//! The workbench as a page: the form, the numbers beside it, and what somebody else saved meanwhile.

use askama::Template;
use axum::http::StatusCode;

use super::advice::Advice;
use super::assume;
use super::choices::Choices;
use super::view::{FormView, Material, form_view};
use super::{Worked, work};
use crate::app::App;
use crate::engine::Formulation;
use crate::recipes::compare::Change;
use crate::recipes::forms::{Group, TICKET, Workbench};
use crate::recipes::method_pages::general;
use crate::recipes::numbers::{NumbersView, Reader};
use crate::recipes::paths;
use crate::recipes::public_id::PublicId;
use crate::recipes::starters;
use crate::web::once::{self, Once};
use crate::web::pages::{Answer, page_with};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// What somebody else saved meanwhile.
pub(super) struct Meanwhile {
    pub number: i32,
    pub author: String,
    /// Theirs before, one's own after.
    pub differences: Vec<Change>,
}

#[derive(Template)]
#[template(path = "recipes/workbench.html")]
pub(super) struct WorkbenchPage {
    pub(super) shell: Shell,
    pub(super) heading: String,
    pub(super) save_words: String,
    pub(super) save_at: String,
    pub(super) recalculate_at: String,
    pub(super) discard_at: String,
    pub(super) form: FormView,
    pub(super) numbers: NumbersView,
    pub(super) glance: String,
    pub(super) ticket: Vec<(&'static str, String)>,
    pub(super) draft_state: String,
    /// Address, unless it is known by a link only, and number of the revision that it was started from.
    pub(super) started_from: Option<(Option<String>, String)>,
    /// Address and title of the book's recipe that it was started from.
    pub(super) from_book: Option<(String, &'static str)>,
    /// Where the book's recipes are and where one plans for a day, while nothing has been begun.
    pub(super) elsewhere: Option<(String, String)>,
    pub(super) meanwhile: Option<Meanwhile>,
    pub(super) dirty: bool,
    /// Whether the form stands there whole, and does not begin with five questions.
    pub(super) whole: bool,
    pub(super) advice: Advice,
    pub(super) choices: Choices,
    /// Where the member's own vessels are kept.
    pub(super) vessels_url: String,
}

impl WorkbenchPage {
    /// Where a button leads that adds a row: the first field of that row.
    pub(super) fn add_at(&self, group: &str) -> String {
        format!("{}#{}", self.recalculate_at, self.form.next(group))
    }
}

/// How the workbench is shown this time.
#[derive(Default)]
pub(super) struct Showing {
    pub recipe: Option<PublicId>,
    pub dirty: bool,
    /// The group in which a button was pressed.
    pub touched: Option<Group>,
    /// Whether empty fields are scolded too.
    pub scold: bool,
    pub status: StatusCode,
    pub meanwhile: Option<Meanwhile>,
    /// Whether a draft is kept, in words.
    pub draft_state: String,
    /// What was done to the form before it was shown.
    pub said: String,
    /// Why what was asked for was not done to it.
    pub warned: String,
    /// A fault that only the database could find.
    pub extra: Option<(String, String)>,
}

pub(super) fn view_of(
    form: &Workbench,
    worked: &Worked,
    reader: &Reader,
    showing: &Showing,
) -> FormView {
    form_view(&Material {
        form,
        checked: &worked.checked,
        numbers: &worked.numbers,
        view: &worked.view,
        units: reader.units,
        catalogue: &reader.catalogue,
        cupboard: &reader.cupboard,
        assumed: &worked.assumed,
        mixing_day: worked.mixing_day,
        touched: showing.touched,
        scold: showing.scold,
    })
}

/// Strength and gravities in a line; empty where nothing could be reckoned.
pub(in crate::recipes) fn glance(numbers: &Formulation) -> String {
    match (&numbers.whole, &numbers.finished) {
        (Some(whole), Some(finished)) => format!(
            "{}, {} to {}",
            crate::recipes::numbers::strength(finished.abv_percent),
            crate::web::units::gravity(whole.og),
            crate::web::units::gravity(finished.fg)
        ),
        _ => String::new(),
    }
}

/// Whether the form is a new one that was begun from nothing.
fn is_untouched(form: &Workbench) -> bool {
    ["title", "from_recipe", "from_starter"]
        .iter()
        .all(|name| form.text(name).is_empty())
}

pub(super) async fn show(
    app: &App,
    member: &Member,
    reader: &Reader,
    form: Workbench,
    showing: Showing,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let worked = work(&form, member, reader);
    let mut view = view_of(&form, &worked, reader, &showing);
    if let Some((field, why)) = &showing.extra {
        view.add_fault(field, why);
    }
    let base = app.site.base();
    let version: i32 = form.text("base_version").parse().unwrap_or(0);
    let started_from = match (form.text("from_recipe"), form.text("from_number")) {
        ("", _) => None,
        (recipe, number) => {
            let at = base.link(&paths::REVISION.with(&[recipe, number]));
            let by_link = !form.text("from_link").is_empty();
            Some(((!by_link).then_some(at), number.to_owned()))
        }
    };
    let (save_at, save_words, heading) = match &showing.recipe {
        None => (
            paths::CREATE.path.to_owned(),
            "Save as revision 1".to_owned(),
            "New recipe",
        ),
        Some(id) => (
            paths::SAVE.with(&[id.as_str()]),
            format!("Save as revision {}", version.saturating_add(1)),
            "Edit recipe",
        ),
    };
    let title = form.text("title").trim();
    let mut ticket: Vec<(&'static str, String)> = TICKET
        .iter()
        .filter(|name| **name != "mixing_day")
        .map(|name| (*name, form.text(name).to_owned()))
        .collect();
    ticket.push((once::FIELD, Once::fresh(&viewer)?));
    ticket.push((
        "recipe",
        showing
            .recipe
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
    ));
    ticket.push(("water_report", form.text("water_report").to_owned()));
    let shell = app.shell(&viewer).at_place(Nav::Recipes);
    let page = WorkbenchPage {
        shell: match (showing.said, showing.warned) {
            (said, warned) if said.is_empty() && warned.is_empty() => shell,
            (said, warned) if warned.is_empty() => shell.saying(said),
            (_, warned) => shell.warning(warned),
        },
        heading: if title.is_empty() {
            heading.to_owned()
        } else {
            title.to_owned()
        },
        save_words,
        save_at: base.link(&save_at),
        recalculate_at: base.link(paths::RECALCULATE.path),
        discard_at: base.link(&paths::DISCARD.with(&[form.text("draft")])),
        form: view,
        glance: glance(&worked.numbers),
        numbers: worked.view.leading_to(general(app)),
        ticket,
        draft_state: showing.draft_state,
        from_book: starters::find(form.text("from_starter")).map(|starter| {
            let path = paths::STARTER.with(&[&starter.key]);
            (base.link(&path), starter.title.as_str())
        }),
        elsewhere: (showing.recipe.is_none() && !showing.dirty && is_untouched(&form)).then(|| {
            let [starters, day] = [paths::STARTERS, paths::FOR_A_DAY].map(|to| base.link(to.path));
            (starters, day)
        }),
        started_from,
        meanwhile: showing.meanwhile,
        dirty: showing.dirty,
        whole: !assume::asks(&form),
        choices: Choices::of(&form, &worked.advice.yeasts, reader),
        vessels_url: base.link(crate::vessels::paths::LIST.path),
        advice: worked.advice,
    };
    page_with(showing.status, &page)
}
