//! The plan as a page, and what becomes of its steps.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::fields::{self, Field};
use super::forms::{self, Case};
use super::marking::{held, last_mark, mark, take_back as strike};
use super::view::{PlanPart, Reader, StepView, is_filling, is_reading, say_once, view};
use super::when::Reads;
use super::{Placed, planned};
use crate::app::App;
use crate::batches::bottling;
use crate::batches::model::Ending;
use crate::batches::opened::{Opened, open, open_own, refresh, settings_of};
use crate::batches::paths;
use crate::batches::start::Speaks;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Became, PlanStep};
use crate::members::paths::TOKENS;
use crate::vessels::instruments::{self, Hydrometer};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// Where and when a member reads.
pub fn reads(app: &App, member: &Member) -> Reads {
    Reads {
        now: app.clock.now(),
        zone: member.settings.zone,
    }
}

/// A member as the reader of a batch's plan.
pub fn reader<'a>(app: &'a App, member: &Member, opened: &Opened) -> Reader<'a> {
    Reader {
        base: app.site.base(),
        reads: reads(app, member),
        units: member.settings.units,
        is_own: opened.batch.owner == member.id && opened.batch.binned_at.is_none(),
    }
}

/// The plan on the sheet of a batch.
///
/// # Errors
/// When there is no randomness for the key of its forms.
pub fn part(app: &App, member: &Member, opened: &Opened) -> Result<Option<PlanPart>, Error> {
    let once = Once::fresh(&Viewer::known(member.clone()))?;
    let is_over = opened
        .batch
        .ending
        .is_some_and(|ending| ending != Ending::Bottled);
    let part = PlanPart::of(opened, reader(app, member, opened), once);
    Ok(part.filter(|_| !is_over))
}

#[derive(Template)]
#[template(path = "batches/plan.html")]
struct PlanPage {
    shell: Shell,
    name: String,
    batch_url: String,
    tokens_url: String,
    is_own: bool,
    open: Vec<(StepView, bool)>,
    closed: Vec<StepView>,
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open(&mut conn, Some(member.id), &settings_of(&member), &id).await?;
    drop(conn);
    let reader = reader(&app, &member, &opened);
    let (open, closed): (Vec<Placed>, Vec<Placed>) = planned(&opened, reader.reads)
        .into_iter()
        .partition(Placed::is_open);
    let base = app.site.base();
    let mut shown: Vec<StepView> = open
        .iter()
        .map(|placed| view(&opened, placed, reader))
        .collect();
    say_once(&mut shown);
    page(&PlanPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[&id])),
        tokens_url: base.link(TOKENS.path),
        is_own: reader.is_own,
        open: shown
            .into_iter()
            .zip(open.iter().map(|placed| is_reading(placed.step.kind)))
            .collect(),
        closed: closed
            .iter()
            .map(|placed| view(&opened, placed, reader))
            .collect(),
    })
}

#[derive(Template)]
#[template(path = "batches/plan_step.html")]
struct StepPage {
    shell: Shell,
    name: String,
    batch_url: String,
    plan_url: String,
    step: StepView,
    /// What was said why it is left out or moved.
    reason: String,
    fields: Vec<Field>,
    hydrometers: Vec<(String, String)>,
    /// Whether something was said of it that can be taken back.
    is_marked: bool,
    done_at: String,
    left_out_at: String,
    moved_at: String,
    taken_back_at: String,
    once: String,
    form: FormState,
}

/// The page of a step; `of_doing` says that the form came from where it is done, with its fields.
fn step_page(
    app: &App,
    (member, opened): (&Member, &Opened),
    placed: &Placed,
    hydrometers: &[(String, String, Hydrometer)],
    mut form: FormState,
    of_doing: bool,
) -> Result<StepPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let (id, key) = (opened.batch.public_id.as_str(), placed.step.key.as_str());
    let at = |route: Route| base.link(&route.with(&[id, key]));
    let fields = fields::of(&placed.step, member.settings.units);
    if !of_doing {
        for field in &fields {
            form.set(&field.name, field.begins.clone());
        }
        if let Some((id, _, _)) = hydrometers.first() {
            form.set("instrument", id.clone());
        }
    }
    if form.typed(once::FIELD).is_empty() {
        form.set(once::FIELD, Once::fresh(&viewer)?);
    }
    let reads_gravity = fields.iter().any(|field| field.name == "gravity");
    let none = (String::new(), "one marked for 20 °C".to_owned());
    let mine = hydrometers
        .iter()
        .map(|(id, name, _)| (id.clone(), name.clone()));
    let marked = last_mark(opened, key);
    Ok(StepPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        plan_url: base.link(&paths::PLAN.with(&[id])),
        step: view(opened, placed, reader(app, member, opened)),
        reason: marked
            .and_then(|logged| match &logged.deed {
                Deed::Step(step) => step.reason.clone(),
                _ => None,
            })
            .unwrap_or_default(),
        hydrometers: match reads_gravity && !hydrometers.is_empty() {
            true => std::iter::once(none).chain(mine).collect(),
            false => Vec::new(),
        },
        fields,
        is_marked: marked.is_some(),
        done_at: at(paths::STEP_DONE),
        left_out_at: at(paths::STEP_LEFT_OUT),
        moved_at: at(paths::STEP_MOVED),
        taken_back_at: at(paths::STEP_TAKEN_BACK),
        once: form.typed(once::FIELD).to_owned(),
        form,
    })
}

/// The step of that key, as it stands now.
fn find(app: &App, member: &Member, opened: &Opened, key: &str) -> Result<Placed, Error> {
    let all = planned(opened, reads(app, member));
    let mut all = all.into_iter();
    all.find(|placed| placed.step.key == key)
        .ok_or_else(Error::not_found)
}

async fn tools(
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<(String, String, Hydrometer)>, Error> {
    Ok(forms::hydrometers(
        instruments::store::list(conn, member.id).await?,
    ))
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) async fn step(
    State(app): State<App>,
    member: Member,
    Path((id, key)): Path<(String, String)>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let placed = find(&app, &member, &opened, &key)?;
    let tools = tools(&mut conn, &member).await?;
    let mut shown = step_page(
        &app,
        (&member, &opened),
        &placed,
        &tools,
        FormState::new(),
        false,
    )?;
    if told.done.as_deref() == Some("before") {
        shown.shell = shown
            .shell
            .warning("Something was said of this step before. It stands as below.");
    }
    page(&shown)
}

/// Where one goes on after something was said of a step.
fn said(id: &str, what: &str) -> String {
    format!("{}?done={what}", paths::BATCH.with(&[id]))
}

/// The page of a step about which somebody said something before.
fn before(app: &App, id: &str, key: &str) -> Answer {
    let path = format!("{}?done=before", paths::STEP.with(&[id, key]));
    see_other(app.site.base(), &path)
}

fn speaks(app: &App, member: &Member) -> Speaks {
    Speaks {
        units: member.settings.units,
        zone: member.settings.zone,
        now: app.clock.now(),
    }
}

pub(super) async fn done(
    State(app): State<App>,
    member: Member,
    Path((id, key)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, paths::STEP_DONE).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let placed = find(&app, &member, &opened, &key)?;
    if !placed.is_open() {
        return before(&app, &id, &key);
    }
    if is_filling(placed.step.kind) {
        return see_other(app.site.base(), &bottling::paths::BOTTLING.with(&[&id]));
    }
    let tools = tools(&mut tx, &member).await?;
    let case = Case {
        opened: &opened,
        step: &placed.step,
        to: speaks(&app, &member),
        by: member.id,
        hydrometers: &tools,
    };
    let mut typed = Typed::of(&posted);
    let Some(done) = forms::done(&mut typed, &posted, &case)? else {
        let again = step_page(&app, (&member, &opened), &placed, &tools, typed.form, true)?;
        return form_again(&again);
    };
    let step = PlanStep {
        step: key,
        is: Became::Done,
        reason: None,
        to_hours: None,
    };
    let times = (done.at, app.clock.now());
    mark(&mut tx, (&member, &opened), step, done.entries, times).await?;
    refresh(&mut tx, &member, &opened.batch.public_id).await?;
    let to = said(&id, "step-done");
    once::settle(&mut tx, &once, &member, paths::STEP_DONE, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

pub(super) async fn leave_out(
    state: State<App>,
    member: Member,
    path: Path<(String, String)>,
    posted: Posted,
) -> Answer {
    say(state, member, path, posted, paths::STEP_LEFT_OUT).await
}

pub(super) async fn another_day(
    state: State<App>,
    member: Member,
    path: Path<(String, String)>,
    posted: Posted,
) -> Answer {
    say(state, member, path, posted, paths::STEP_MOVED).await
}

/// Leaves a step out, or moves it.
async fn say(
    State(app): State<App>,
    member: Member,
    Path((id, key)): Path<(String, String)>,
    posted: Posted,
    route: Route,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let placed = find(&app, &member, &opened, &key)?;
    if !placed.is_open() {
        return before(&app, &id, &key);
    }
    let mut typed = Typed::of(&posted);
    let step = |is, reason, to_hours| PlanStep {
        step: key.clone(),
        is,
        reason,
        to_hours,
    };
    let (what, step) = if route == paths::STEP_MOVED {
        let to = forms::moved(&mut typed, speaks(&app, &member))?;
        let hours = to.map(|to| opened.batch.hours_at(to));
        (
            "step-moved",
            hours.map(|_| step(Became::Moved, None, hours)),
        )
    } else {
        let reason = forms::reason(&mut typed)?;
        let step = reason.map(|reason| step(Became::Skipped, Some(reason), None));
        ("step-left-out", step)
    };
    let Some(step) = step else {
        let tools = tools(&mut tx, &member).await?;
        let again = step_page(&app, (&member, &opened), &placed, &tools, typed.form, false)?;
        return form_again(&again);
    };
    let now = app.clock.now();
    mark(&mut tx, (&member, &opened), step, Vec::new(), (now, now)).await?;
    refresh(&mut tx, &member, &opened.batch.public_id).await?;
    let to = said(&id, what);
    once::settle(&mut tx, &once, &member, route, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

pub(super) async fn take_back(
    State(app): State<App>,
    member: Member,
    Path((id, key)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let route = paths::STEP_TAKEN_BACK;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let now = app.clock.now();
    if !strike(&mut tx, (&member, &opened), &key, now).await? {
        return before(&app, &id, &key);
    }
    refresh(&mut tx, &member, &opened.batch.public_id).await?;
    let to = said(&id, "step-taken-back");
    once::settle(&mut tx, &once, &member, route, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}
