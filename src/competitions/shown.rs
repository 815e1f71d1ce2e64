//! Competitions as every member finds them: the list, and the page of one with the ways into each part of it.

use askama::Template;
use axum::Router;
use axum::extract::{Path, State};

use super::opened::Opened;
use super::view::{self, Row};
use super::{desk, entering, flights, judging, order, organise, paths, results, store};
use crate::app::App;
use crate::web::markdown::{self, Rendered};
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// The routes that everybody has in common.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::COMPETITION, show)
        .done()
}

/// What stands around a page of a competition.
pub(super) fn shell(app: &App, member: &Member) -> Shell {
    app.shell(&Viewer::known(member.clone()))
        .at_place(Nav::Club)
}

#[derive(Template)]
#[template(path = "competitions/list.html")]
struct ListPage {
    shell: Shell,
    club_url: String,
    going_on: Vec<Row>,
    over: Vec<Row>,
    ways: Vec<Way>,
}

/// A way on, with a word of what it is for.
pub(super) struct Way {
    pub url: String,
    pub words: &'static str,
    pub about: String,
}

#[derive(Template)]
#[template(path = "competitions/competition.html")]
struct CompetitionPage {
    shell: Shell,
    list_url: String,
    title: String,
    stands: String,
    /// Days, places and prices.
    days: Vec<(&'static str, String)>,
    terms: Rendered,
    prizes: String,
    ways: Vec<Way>,
}

async fn list(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let found = store::list(&mut conn, member.id).await?;
    let rows = found.iter().map(|one| view::row(&app, &member, one));
    let (going_on, over): (Vec<Row>, Vec<Row>) = rows.partition(|row| row.going_on);
    page(&ListPage {
        club_url: app.site.base().link("/club"),
        going_on,
        over,
        ways: organise::of_list(&app, &member),
        shell: shell(&app, &member),
    })
}

async fn show(State(app): State<App>, Path(id): Path<String>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let competition = &opened.competition;
    let base = app.site.base();
    let ways = [
        entering::ways(&opened, base, entering::today(&app, &member)),
        desk::ways(&opened, base),
        organise::ways(&app, &opened),
        flights::ways(&app, &opened),
        judging::ways(&app, &opened),
        results::ways(&opened, base),
    ];
    page(&CompetitionPage {
        list_url: app.site.base().link(paths::LIST.path),
        title: competition.title.clone(),
        stands: view::sentence(competition, &member),
        days: organise::days_ahead(competition, app.site.currency()),
        terms: markdown::render(&competition.terms),
        prizes: competition.prizes.clone(),
        ways: order::sorted(competition.phase, ways.into_iter().flatten().collect()),
        shell: shell(&app, &member),
    })
}
