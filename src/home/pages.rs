//! The first page: for strangers what this is, for a newcomer three doors, for members the ways on.

use askama::Template;
use axum::Router;
use axum::extract::State;

use super::paths;
use crate::app::App;
use crate::members::mentors::store::whom_to_ask;
use crate::recipes::drafts::store as drafts;
use crate::recipes::model::Shelf;
use crate::recipes::paths as recipes;
use crate::recipes::store::list_recipes;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::site::Club;
use crate::web::viewer::{Member, Viewer};

/// Drafts that the first page offers.
const DRAFTS: usize = 3;

/// The routes of the first page.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::HOME, show)
        .on(paths::GOING, already_going)
        .done()
}

/// What a member has here.
#[derive(Default)]
struct Own {
    recipes: bool,
    /// Address and name of what is not saved yet.
    drafts: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "home/home.html")]
struct HomePage {
    shell: Shell,
    club: Club,
    /// Whom a newcomer may ask.
    ask: Option<String>,
    own: Own,
    new_url: String,
    going_url: String,
    starters_url: String,
    day_url: String,
}

#[derive(Template)]
#[template(path = "home/going.html")]
struct GoingPage {
    shell: Shell,
    new_url: String,
}

async fn show(State(app): State<App>, viewer: Viewer) -> Answer {
    let (own, ask) = match viewer.member() {
        Some(member) => (own(&app, member).await?, ask(&app, member).await?),
        None => (Own::default(), None),
    };
    let base = app.site.base();
    page(&HomePage {
        shell: app.shell(&viewer),
        club: app.site.club(),
        ask,
        own,
        new_url: base.link(recipes::NEW.path),
        going_url: base.link(paths::GOING.path),
        starters_url: base.link(recipes::STARTERS.path),
        day_url: base.link(recipes::FOR_A_DAY.path),
    })
}

async fn own(app: &App, member: &Member) -> Result<Own, Error> {
    let mut conn = app.pool.acquire().await?;
    let found = list_recipes(&mut conn, Some(member.id), Shelf::Mine, None, 1).await?;
    let kept = drafts::list(&mut conn, member.id, DRAFTS).await?;
    let base = app.site.base();
    let drafts = kept.into_iter().map(|draft| {
        let name = match draft.title.trim() {
            "" => "without a name yet".to_owned(),
            title => title.to_owned(),
        };
        (
            base.link(&recipes::DRAFT.with(&[draft.draft.as_str()])),
            name,
        )
    });
    Ok(Own {
        recipes: !found.lines.is_empty(),
        drafts: drafts.collect(),
    })
}

async fn ask(app: &App, member: &Member) -> Result<Option<String>, Error> {
    let mut conn = app.pool.acquire().await?;
    whom_to_ask(&mut conn, member.id, app.clock.now()).await
}

async fn already_going(State(app): State<App>, member: Member) -> Answer {
    let viewer = Viewer::known(member);
    page(&GoingPage {
        shell: app.shell(&viewer),
        new_url: app.site.base().link(recipes::NEW.path),
    })
}
