//! The pages of refining series: all of a member's, a new one, one with its batches, what is said about it.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;
use sqlx::PgConnection;

use super::model::{Series, Step};
use super::{forms, store};
use crate::app::App;
use crate::batches::compare::tastings::{self, at_equal_age, by_age};
use crate::batches::model::SaveError;
use crate::batches::opened::{Opened, open, settings_of};
use crate::batches::paths;
use crate::recipes::public_id::PublicId;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::{Difference, Typed, differences};
use crate::web::viewer::{Member, Viewer};

struct Line {
    url: String,
    name: String,
    aim: String,
    meta: String,
}

#[derive(Template)]
#[template(path = "batches/series_list.html")]
struct ListPage {
    shell: Shell,
    batches_url: String,
    new_url: String,
    lines: Vec<Line>,
}

/// A series as it is typed.
#[derive(Template)]
#[template(path = "batches/series_form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    action: String,
    back_url: String,
    back_words: String,
    form: FormState,
    once: String,
    version: i32,
    meanwhile: Vec<Difference>,
}

/// A batch of a series as it is read.
struct StepLine {
    url: Option<String>,
    name: String,
    question: String,
    change: String,
    expected: String,
    decision: String,
    decided: String,
    /// How it and the batch before it tasted at nearly equal age: name and words.
    tasted: Vec<(String, String)>,
    edit_url: String,
    next_url: Option<String>,
    move_at: String,
}

#[derive(Template)]
#[template(path = "batches/series.html")]
struct SeriesPage {
    shell: Shell,
    all_url: String,
    batches_url: String,
    name: String,
    aim: String,
    steps: Vec<StepLine>,
    about_url: String,
    delete_url: String,
    compare_url: Option<String>,
    /// Whether anybody can tell the two newest apart.
    triangle_url: Option<String>,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) fn shell(app: &App, member: &Member) -> Shell {
    app.shell(&Viewer::known(member.clone()))
        .at_place(Nav::Batches)
}

/// "3 batches".
pub(super) fn count_words(batches: i64) -> String {
    match batches {
        0 => "no batch yet".to_owned(),
        1 => "1 batch".to_owned(),
        many => format!("{many} batches"),
    }
}

pub(super) async fn list(
    State(app): State<App>,
    member: Member,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let all = store::list(&mut conn, member.id).await?;
    drop(conn);
    let base = app.site.base();
    let line = |series: Series| Line {
        url: base.link(&paths::SERIES.with(&[series.public_id.as_str()])),
        name: series.name,
        aim: series.aim,
        meta: count_words(series.batches),
    };
    let words = match told.done.as_deref() {
        Some("deleted") => "Deleted. Its batches are where they were.",
        _ => "",
    };
    page(&ListPage {
        shell: shell(&app, &member).saying(words),
        batches_url: base.link(paths::LIST.path),
        new_url: base.link(paths::NEW_SERIES.path),
        lines: all.into_iter().map(line).collect(),
    })
}

fn form_page(
    app: &App,
    member: &Member,
    of: Option<&Series>,
    form: FormState,
) -> Result<FormPage, Error> {
    let base = app.site.base();
    let path = |route: Route, none: &str| match of {
        Some(series) => base.link(&route.with(&[series.public_id.as_str()])),
        None => base.link(none),
    };
    Ok(FormPage {
        shell: shell(app, member),
        heading: of.map_or("A new refining series".to_owned(), |series| {
            format!("About {}", series.name)
        }),
        action: path(paths::SAVE_SERIES, paths::MAKE_SERIES.path),
        back_url: path(paths::SERIES, paths::ALL_SERIES.path),
        back_words: of.map_or("refining series".to_owned(), |series| series.name.clone()),
        version: of.map_or(0, |series| series.version),
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&Viewer::known(member.clone()))?,
            typed => typed.to_owned(),
        },
        form,
        meanwhile: Vec::new(),
    })
}

pub(super) async fn new(State(app): State<App>, member: Member) -> Answer {
    page(&form_page(&app, &member, None, FormState::new())?)
}

pub(super) async fn make(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut typed = Typed::of(&posted);
    let (name, aim) = forms::series(&mut typed)?;
    if !typed.form.is_sound() {
        return form_again(&form_page(&app, &member, None, typed.form)?);
    }
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::MAKE_SERIES).await? {
        return see_other(app.site.base(), &location);
    }
    let id = PublicId::random().map_err(Error::unexpected)?;
    store::make(&mut tx, member.id, &id, (&name, &aim), app.clock.now()).await?;
    let location = format!("{}?done=made", paths::SERIES.with(&[id.as_str()]));
    once::settle(&mut tx, &once, &member, paths::MAKE_SERIES, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// A series of the member.
pub(super) async fn own(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Series, Error> {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let found = store::find(conn, member.id, &id).await?;
    found.ok_or_else(Error::not_found)
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let series = own(&mut conn, &member, &id).await?;
    let steps = store::steps(&mut conn, member.id, series.id).await?;
    let mut opened: Vec<Option<Opened>> = Vec::new();
    for step in &steps {
        opened.push(match step.name {
            Some(_) => {
                let settings = settings_of(&member);
                Some(open(&mut conn, Some(member.id), &settings, step.batch.as_str()).await?)
            }
            None => None,
        });
    }
    drop(conn);
    let words = match told.done.as_deref() {
        Some("made") => "Made. Put a batch into it from the batch’s own page.",
        Some("put") => "Put into the series.",
        Some("saved") => "Saved.",
        Some("out") => "Taken out of the series.",
        Some("moved") => "In this order now.",
        _ => "",
    };
    let base = app.site.base();
    let seen = steps.iter().filter(|step| step.name.is_some());
    let ids: Vec<String> = seen
        .map(|step| format!("id={}", step.batch.as_str()))
        .collect();
    let at = |route: Route| base.link(&route.with(&[&id]));
    page(&SeriesPage {
        shell: shell(&app, &member).saying(words),
        all_url: base.link(paths::ALL_SERIES.path),
        batches_url: base.link(paths::LIST.path),
        about_url: at(paths::SERIES_ABOUT),
        delete_url: at(paths::DELETE_SERIES),
        compare_url: (ids.len() > 1)
            .then(|| base.link(&format!("{}?{}", paths::COMPARE.path, ids.join("&")))),
        triangle_url: newest_two(&steps).map(|[one, other]| {
            let path = crate::tastings::paths::NEW.path;
            base.link(&format!("{path}?kind=triangle&mead={one}&mead={other}"))
        }),
        steps: (0..steps.len())
            .map(|at| step_line(&app, &member, &series, &steps, &opened, at))
            .collect(),
        name: series.name,
        aim: series.aim,
    })
}

/// The two newest batches of a series that are shown to the viewer.
fn newest_two(steps: &[Step]) -> Option<[&str; 2]> {
    let seen = steps.iter().rev().filter(|step| step.name.is_some());
    let mut ids = seen.map(|step| step.batch.as_str());
    Some([ids.next()?, ids.next()?])
}

fn step_line(
    app: &App,
    member: &Member,
    series: &Series,
    steps: &[Step],
    opened: &[Option<Opened>],
    at: usize,
) -> StepLine {
    let base = app.site.base();
    let step = &steps[at];
    let id = step.batch.as_str();
    let before = opened[..at].iter().rev().flatten().next();
    StepLine {
        url: step
            .name
            .as_ref()
            .map(|_| base.link(&paths::BATCH.with(&[id]))),
        name: step
            .name
            .clone()
            .unwrap_or_else(|| "A batch that is not shown to you any more".to_owned()),
        question: step.said.question.clone(),
        change: step.said.change.clone(),
        expected: step.said.expected.clone(),
        decision: step.said.decision.clone(),
        decided: step
            .decided_at
            .map_or(String::new(), |at| day(at, member.settings.zone)),
        tasted: match (before, &opened[at]) {
            (Some(before), Some(this)) => side_by_side(before, this),
            (None, Some(this)) => newest(this),
            (_, None) => Vec::new(),
        },
        edit_url: base.link(&paths::SERIES_STEP.with(&[series.public_id.as_str(), id])),
        next_url: opened[at]
            .as_ref()
            .filter(|this| this.batch.owner == member.id)
            .map(|_| base.link(&paths::NEXT.with(&[id]))),
        move_at: base.link(&paths::MOVE_SERIES_STEP.with(&[series.public_id.as_str(), id])),
    }
}

/// How two batches tasted at nearly equal age; of one alone what there is.
pub(super) fn side_by_side(before: &Opened, this: &Opened) -> Vec<(String, String)> {
    let [old, new] = [before, this].map(|one| by_age(&tastings::of(one)));
    match at_equal_age(&old, &new) {
        Some((one, other)) => [(before, one), (this, other)]
            .map(|(opened, at)| (opened.batch.name.clone(), at.words()))
            .into(),
        None => newest(this),
    }
}

/// How it tasted last.
pub(super) fn newest(this: &Opened) -> Vec<(String, String)> {
    let all = by_age(&tastings::of(this));
    let last = all.last().map(|at| (this.batch.name.clone(), at.words()));
    last.into_iter().collect()
}

pub(super) async fn about(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let series = own(&mut conn, &member, &id).await?;
    let form = forms::of_series(&series);
    page(&form_page(&app, &member, Some(&series), form)?)
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let series = own(&mut tx, &member, &id).await?;
    let version = posted.one("version")?.parse().unwrap_or(0);
    let mut typed = Typed::of(&posted);
    let (name, aim) = forms::series(&mut typed)?;
    if !typed.form.is_sound() {
        let mut again = form_page(&app, &member, Some(&series), typed.form)?;
        again.version = version;
        return form_again(&again);
    }
    match store::change(
        &mut tx,
        member.id,
        (&series.public_id, version),
        (&name, &aim),
    )
    .await
    {
        Ok(()) => {
            tx.commit().await?;
            told(&app, &id, "saved")
        }
        Err(SaveError::Conflict) => {
            let now = forms::of_series(&series);
            let mut again = form_page(&app, &member, Some(&series), typed.form)?;
            again.meanwhile = differences(forms::OF_SERIES, &now, &again.form);
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

pub(super) fn told(app: &App, id: &str, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::SERIES.with(&[id]));
    see_other(app.site.base(), &path)
}
