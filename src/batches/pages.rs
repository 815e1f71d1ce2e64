//! The pages of batches bound to their routes: lists, and what is said about one.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use chrono::{DateTime, Utc};
use serde::Deserialize;

use super::blending;
use super::cellar;
use super::compare;
use super::finishing;
use super::house;
use super::log;
use super::log_file;
use super::model::{SaveError, Shelf};
use super::next;
use super::opened::{Opened, open_own};
use super::plan;
use super::series;
use super::sheet;
use super::start;
use super::start::READERS;
use super::trials;
use super::trouble;
use super::view::{Row, row};
use super::{parting, paths, sensors, store, table};
use crate::app::App;
use crate::recipes;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// Batches on one page of a list.
const PAGE: usize = 30;

/// The routes of batches.
pub fn router() -> Router<App> {
    let routes = Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::BATCH, sheet::show)
        .on(paths::ABOUT, about)
        .on(paths::SAVE_ABOUT, save_about)
        .on(paths::BIN, bin)
        .on(paths::UNBIN, unbin);
    let routes = finishing::bind(plan::bind(log::bind(start::bind(routes))));
    let routes = compare::bind(log_file::bind(trouble::bind(routes)));
    let routes = table::bind(parting::bind(sensors::bind(routes)));
    let routes = trials::bind(next::bind(blending::bind(routes)));
    house::bind(series::bind(routes)).done()
}

#[derive(Template)]
#[template(path = "batches/list.html")]
struct ListPage {
    shell: Shell,
    shelf: Shelf,
    /// The other shelves: words and address, the one that is shown without.
    shelves: Vec<(&'static str, Option<String>)>,
    rows: Vec<Row>,
    next: Option<String>,
    recipes_url: String,
    going_url: String,
    compare_url: String,
    series_url: String,
    cellar_url: String,
}

#[derive(Deserialize)]
struct Asked {
    shelf: Option<String>,
    after: Option<String>,
}

/// A shelf in words.
fn shelf_words(shelf: Shelf) -> &'static str {
    match shelf {
        Shelf::Going => "Mine, going",
        Shelf::Done => "Mine, done",
        Shelf::Club => "The club’s",
        Shelf::Bin => "The bin",
    }
}

/// The place after which a page of a list begins.
fn place(text: &str) -> Option<(DateTime<Utc>, PublicId)> {
    let (micros, id) = text.split_once('.')?;
    let at = DateTime::from_timestamp_micros(micros.parse().ok()?)?;
    Some((at, id.parse().ok()?))
}

async fn list(State(app): State<App>, member: Member, Query(asked): Query<Asked>) -> Answer {
    let shelf = asked.shelf.as_deref().and_then(Shelf::from_word);
    let shelf = shelf.unwrap_or(Shelf::Going);
    let after = asked.after.as_deref().and_then(place);
    let mut conn = app.pool.acquire().await?;
    let mut lines = store::list(&mut conn, member.id, shelf, after, PAGE + 1).await?;
    drop(conn);
    let more = lines.len() > PAGE;
    lines.truncate(PAGE);
    let base = app.site.base();
    let address = |rest: &str| base.link(&format!("{}{rest}", paths::LIST.path));
    let next = lines.last().filter(|_| more).map(|last| {
        let (at, id) = (last.began_at.timestamp_micros(), last.public_id.as_str());
        address(&format!("?shelf={}&after={at}.{id}", shelf.word()))
    });
    page(&ListPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        shelf,
        shelves: Shelf::ALL
            .into_iter()
            .map(|one| {
                let url = address(&format!("?shelf={}", one.word()));
                (shelf_words(one), (one != shelf).then_some(url))
            })
            .collect(),
        rows: lines
            .into_iter()
            .map(|line| row(&app, &member, line))
            .collect(),
        next,
        recipes_url: base.link(recipes::paths::LIST.path),
        going_url: base.link(paths::GOING.path),
        compare_url: base.link(paths::COMPARE.path),
        series_url: base.link(paths::ALL_SERIES.path),
        cellar_url: base.link(cellar::paths::CELLAR.path),
    })
}

#[derive(Template)]
#[template(path = "batches/about.html")]
struct AboutPage {
    shell: Shell,
    action: String,
    back_url: String,
    name: String,
    form: FormState,
    version: i32,
    meanwhile: bool,
}

impl AboutPage {
    const READERS: &[(&str, &str)] = READERS;
}

fn about_page(app: &App, member: &Member, opened: &Opened, form: FormState) -> AboutPage {
    let base = app.site.base();
    let id = opened.batch.public_id.as_str();
    AboutPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        action: base.link(&paths::SAVE_ABOUT.with(&[id])),
        back_url: base.link(&paths::BATCH.with(&[id])),
        name: opened.batch.name.clone(),
        form,
        version: opened.batch.version,
        meanwhile: false,
    }
}

async fn about(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let mut form = FormState::new();
    form.set("name", opened.batch.name.clone());
    form.set("visibility", opened.batch.visibility.as_str());
    page(&about_page(&app, &member, &opened, form))
}

async fn save_about(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let name = start::name(&mut typed)?;
    let visibility = start::readers(&mut typed)?;
    let version = posted.one("version")?.parse().unwrap_or(0);
    if !typed.form.is_sound() {
        return form_again(&about_page(&app, &member, &opened, typed.form));
    }
    let batch = &opened.batch.public_id;
    match store::save_about(&mut tx, member.id, (batch, version), (&name, visibility)).await {
        Ok(()) => {
            tx.commit().await?;
            told(&app, &id, "saved")
        }
        Err(SaveError::Conflict) => {
            let mut again = about_page(&app, &member, &opened, typed.form);
            again.meanwhile = true;
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

fn told(app: &App, id: &str, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::BATCH.with(&[id]));
    see_other(app.site.base(), &path)
}

async fn bin(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let now = app.clock.now();
    match store::bin(&mut conn, member.id, &id, Some(now)).await? {
        true => see_other(app.site.base(), &format!("{}?shelf=bin", paths::LIST.path)),
        false => Err(Error::not_found()),
    }
}

async fn unbin(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let parsed: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    match store::bin(&mut conn, member.id, &parsed, None).await? {
        true => told(&app, &id, "back"),
        false => Err(Error::not_found()),
    }
}
