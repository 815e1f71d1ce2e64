//! A batch of a refining series: putting it in, what is said of it, taking it out.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use sqlx::PgConnection;

use super::model::{NAME_MAX, Series, SeriesId, Step};
use super::pages::{newest, own, side_by_side, told};
use super::{forms, store};
use crate::app::App;
use crate::batches::opened::{Opened, open, settings_of};
use crate::batches::paths;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::{Difference, Typed, differences};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/series_put.html")]
struct PutPage {
    shell: Shell,
    batch_name: String,
    batch_url: String,
    action: String,
    choices: Vec<(String, String)>,
    form: FormState,
    once: String,
}

#[derive(Template)]
#[template(path = "batches/series_step.html")]
struct StepPage {
    shell: Shell,
    series_name: String,
    series_url: String,
    batch_name: String,
    action: String,
    out_at: String,
    tasted: Vec<(String, String)>,
    /// What its tasters said, and what follows from that; of one's own.
    next_url: Option<String>,
    form: FormState,
    version: i32,
    meanwhile: Vec<Difference>,
}

fn shell(app: &App, member: &Member) -> Shell {
    app.shell(&Viewer::known(member.clone()))
        .at_place(Nav::Batches)
}

fn put_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    series: &[Series],
    form: FormState,
) -> Result<PutPage, Error> {
    let base = app.site.base();
    let id = opened.batch.public_id.as_str();
    let known = series
        .iter()
        .map(|one| (one.public_id.as_str().to_owned(), one.name.clone()));
    let new = (String::new(), "a new series, named below".to_owned());
    Ok(PutPage {
        shell: shell(app, member),
        batch_name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        action: base.link(&paths::PUT_INTO_SERIES.with(&[id])),
        choices: known.chain([new]).collect(),
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&Viewer::known(member.clone()))?,
            typed => typed.to_owned(),
        },
        form,
    })
}

async fn opened(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    open(conn, Some(member.id), &settings_of(member), id).await
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = opened(&mut conn, &member, &id).await?;
    let all = store::list(&mut conn, member.id).await?;
    let mut form = FormState::new();
    if let Some(newest) = all.first() {
        form.set("series", newest.public_id.as_str());
    }
    page(&put_page(&app, &member, &opened, &all, form)?)
}

pub(super) async fn put(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = opened(&mut tx, &member, &id).await?;
    let all = store::list(&mut tx, member.id).await?;
    let mut typed = Typed::of(&posted);
    let chosen = chosen(&mut typed, &all)?;
    let said = forms::step(&mut typed)?;
    if !typed.form.is_sound() {
        return form_again(&put_page(&app, &member, &opened, &all, typed.form)?);
    }
    if let Claim::Done(at) = once::claim(&mut tx, &once, &member, paths::PUT_INTO_SERIES).await? {
        return see_other(app.site.base(), &at);
    }
    let (series, public_id) = take(&app, &mut tx, &member, chosen).await?;
    if !store::put(&mut tx, series, opened.batch.id, &said).await? {
        typed.form.refuse(
            "series",
            "It stands in that series already, or the series is full.",
        );
        return form_again(&put_page(&app, &member, &opened, &all, typed.form)?);
    }
    let location = format!("{}?done=put", paths::SERIES.with(&[public_id.as_str()]));
    once::settle(&mut tx, &once, &member, paths::PUT_INTO_SERIES, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// A series of the member's, or the name of one to be made.
enum Chosen {
    There(SeriesId, PublicId),
    New(String),
}

fn chosen(typed: &mut Typed<'_>, all: &[Series]) -> Result<Chosen, Error> {
    let key = typed.text("series")?;
    if let Some(series) = all.iter().find(|one| one.public_id.as_str() == key) {
        return Ok(Chosen::There(series.id, series.public_id.clone()));
    }
    if !key.is_empty() {
        typed.form.refuse("series", "Choose one of the list.");
    }
    let why = "Write what the new series is called, or choose one above.";
    Ok(Chosen::New(typed.wanted("name", NAME_MAX, why)?))
}

/// The series that was chosen, made where it is new.
async fn take(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    chosen: Chosen,
) -> Result<(SeriesId, PublicId), Error> {
    match chosen {
        Chosen::There(id, public_id) => Ok((id, public_id)),
        Chosen::New(name) => {
            let public_id = PublicId::random().map_err(Error::unexpected)?;
            let now = app.clock.now();
            let id = store::make(conn, member.id, &public_id, (&name, ""), now).await?;
            Ok((id, public_id))
        }
    }
}

/// A step, with the batch before it and itself as far as they are shown.
struct Found {
    series: Series,
    step: Step,
    before: Option<Opened>,
    this: Option<Opened>,
}

async fn found(
    conn: &mut PgConnection,
    member: &Member,
    series: &str,
    batch: &str,
) -> Result<Found, Error> {
    let series = own(conn, member, series).await?;
    let steps = store::steps(conn, member.id, series.id).await?;
    let at = steps.iter().position(|step| step.batch.as_str() == batch);
    let at = at.ok_or_else(Error::not_found)?;
    let seen = |step: &&Step| step.name.is_some();
    let before = steps[..at].iter().rev().find(seen);
    let this = Some(&steps[at]).filter(seen);
    Ok(Found {
        before: match before {
            Some(step) => Some(opened(conn, member, step.batch.as_str()).await?),
            None => None,
        },
        this: match this {
            Some(step) => Some(opened(conn, member, step.batch.as_str()).await?),
            None => None,
        },
        step: steps[at].clone(),
        series,
    })
}

fn step_page(app: &App, member: &Member, found: &Found, form: FormState) -> StepPage {
    let base = app.site.base();
    let ids = [found.series.public_id.as_str(), found.step.batch.as_str()];
    StepPage {
        shell: shell(app, member),
        series_name: found.series.name.clone(),
        series_url: base.link(&paths::SERIES.with(&ids[..1])),
        batch_name: found
            .step
            .name
            .clone()
            .unwrap_or_else(|| "a batch that is not shown".to_owned()),
        action: base.link(&paths::SAVE_SERIES_STEP.with(&ids)),
        out_at: base.link(&paths::TAKE_SERIES_STEP_OUT.with(&ids)),
        tasted: match (&found.before, &found.this) {
            (Some(before), Some(this)) => side_by_side(before, this),
            (None, Some(this)) => newest(this),
            (_, None) => Vec::new(),
        },
        next_url: found
            .this
            .as_ref()
            .filter(|this| this.batch.owner == member.id)
            .map(|_| base.link(&paths::NEXT.with(&ids[1..]))),
        form,
        version: found.step.version,
        meanwhile: Vec::new(),
    }
}

pub(super) async fn edit(
    State(app): State<App>,
    member: Member,
    Path((series, batch)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let found = found(&mut conn, &member, &series, &batch).await?;
    let form = forms::of_step(&found.step.said);
    page(&step_page(&app, &member, &found, form))
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path((series, batch)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let found = found(&mut tx, &member, &series, &batch).await?;
    let version = posted.one("version")?.parse().unwrap_or(0);
    let mut typed = Typed::of(&posted);
    let said = forms::step(&mut typed)?;
    if !typed.form.is_sound() {
        let mut again = step_page(&app, &member, &found, typed.form);
        again.version = version;
        return form_again(&again);
    }
    let seen = (&found.step.batch, version);
    if store::save_step(&mut tx, found.series.id, seen, &said, app.clock.now()).await? {
        tx.commit().await?;
        return told(&app, &series, "saved");
    }
    let now = forms::of_step(&found.step.said);
    let mut again = step_page(&app, &member, &found, typed.form);
    again.meanwhile = differences(forms::OF_STEP, &now, &again.form);
    page_with(StatusCode::CONFLICT, &again)
}

pub(super) async fn take_out(
    State(app): State<App>,
    member: Member,
    Path((series, batch)): Path<(String, String)>,
) -> Answer {
    let batch: PublicId = batch.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let found = own(&mut conn, &member, &series).await?;
    match store::take_out(&mut conn, found.id, &batch).await? {
        true => told(&app, &series, "out"),
        false => Err(Error::not_found()),
    }
}
