//! The calculations over HTTP: the index, and one handler for every page.

use askama::Template;
use axum::Router;
use axum::extract::{Path, RawQuery, State};
use axum::http::{HeaderMap, StatusCode};

use super::forms::{self, Asked};
use super::model::{Method, Moment, Page};
use super::view::{self, AnswerView, GroupView};
use super::{ALL, find, paths};
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page, page_with};
use crate::web::paths::{Base, Routes};
use crate::web::policy::{Action, Facts, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::Viewer;

/// The most fields of an address.
const MAX_FIELDS: usize = 100;

/// The routes of the calculations.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::INDEX, index)
        .on(paths::PAGE, show)
        .done()
}

/// The calculations of one moment: address, question, what for.
struct Part {
    heading: &'static str,
    lines: Vec<(String, &'static str, &'static str)>,
}

#[derive(Template)]
#[template(path = "calculations/index.html")]
struct IndexPage {
    shell: Shell,
    parts: Vec<Part>,
}

async fn index(State(app): State<App>, viewer: Viewer) -> Answer {
    let base = app.site.base();
    page(&IndexPage {
        shell: app.shell(&viewer).at_place(Nav::Calculations),
        parts: Moment::ALL.map(|moment| part(moment, base)).into(),
    })
}

fn part(moment: Moment, base: &Base) -> Part {
    let lines = ALL.iter().filter(|page| page.moment == moment);
    Part {
        heading: moment.heading(),
        lines: lines
            .map(|page| (base.link(&paths::page(page.name)), page.title, page.line))
            .collect(),
    }
}

#[derive(Template)]
#[template(path = "calculations/page.html")]
struct CalculationPage {
    shell: Shell,
    title: &'static str,
    line: &'static str,
    moment: &'static str,
    groups: Vec<GroupView>,
    faults: Vec<(String, String)>,
    answer: Option<AnswerView>,
    /// For a screen reader, after a live edit only.
    spoken: String,
    method: Method,
    /// Where the form is sent.
    at: String,
    index_url: String,
    base: String,
    /// The other pages of the same moment.
    others: Vec<(String, &'static str)>,
}

async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
    headers: HeaderMap,
) -> Answer {
    let described: &'static Page = find(&name).ok_or_else(Error::not_found)?;
    let sent = Posted::asked(query, MAX_FIELDS)?;
    let club = seen_by(&app, &viewer).await?;
    let mut asked = forms::read(described, &sent, viewer.settings().units, &club);
    let case = asked.answer();
    let answer = case.map(|case| view::answer(&asked, &case));
    let status = match answer {
        Some(_) => StatusCode::OK,
        None => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let shell = app.shell(&viewer).at_place(Nav::Calculations);
    let live = headers.contains_key("x-live");
    page_with(status, &drawn(shell, app.site.base(), &asked, answer, live))
}

/// The catalogue of this viewer: the club's own entries are the members'.
async fn seen_by(app: &App, viewer: &Viewer) -> Result<ClubCatalogue, Error> {
    if !may(viewer, Action::TakePart, &Facts::default()) {
        return Ok(ClubCatalogue::default());
    }
    let mut conn = app.pool.acquire().await?;
    Ok(app.catalogue.now(&mut conn).await?)
}

fn drawn(
    shell: Shell,
    base: &Base,
    asked: &Asked<'_>,
    answer: Option<AnswerView>,
    live: bool,
) -> CalculationPage {
    let described = asked.page;
    let faults = asked.form.faults().to_vec();
    let spoken = match (&answer, faults.first()) {
        (Some(answer), _) => answer.sentence.clone(),
        (None, Some((_, fault))) => fault.clone(),
        (None, None) => String::new(),
    };
    let others = ALL.iter().filter(|page| page.moment == described.moment);
    let others = others.filter(|page| page.name != described.name);
    CalculationPage {
        shell,
        title: described.title,
        line: described.line,
        moment: described.moment.heading(),
        groups: view::groups(asked),
        faults,
        spoken: if live { spoken } else { String::new() },
        answer,
        method: described.method,
        at: base.link(&paths::page(described.name)),
        index_url: base.link(paths::INDEX.path),
        base: base.to_string(),
        others: others
            .map(|page| (base.link(&paths::page(page.name)), page.title))
            .collect(),
    }
}
