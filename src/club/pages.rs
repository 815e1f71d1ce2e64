//! The club's page bound to its routes.

use askama::Template;
use axum::Router;
use axum::extract::State;

use super::paths;
use crate::admin;
use crate::app::App;
use crate::batches;
use crate::competitions;
use crate::meetings;
use crate::members::roll::store::list_roll;
use crate::orders;
use crate::shelf;
use crate::vessels;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::policy::{Action, Facts, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Role, Viewer};

/// The club's routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES).on(paths::CLUB, show).done()
}

/// How many jars the page names.
const JARS_SHOWN: usize = 5;

#[derive(Template)]
#[template(path = "club/club.html")]
struct ClubPage {
    shell: Shell,
    words: Vec<String>,
    words_url: Option<String>,
    meetings: Vec<meetings::view::Row>,
    meetings_url: String,
    competitions: Vec<competitions::view::Row>,
    competitions_url: String,
    orders: Vec<orders::view::Row>,
    orders_url: String,
    jars: Vec<shelf::view::Row>,
    more_jars: usize,
    shelf_url: String,
    equipment_url: String,
    figures_url: String,
    /// Names, with what they are besides members.
    members: Vec<(String, &'static str)>,
}

async fn show(State(app): State<App>, viewer: Viewer, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let roll = list_roll(&mut conn).await?;
    let meetings = meetings::store::list(&mut conn).await?;
    let competitions = competitions::store::list(&mut conn, member.id).await?;
    let orders = orders::store::list(&mut conn).await?;
    let jars = shelf::store::list(&mut conn).await?;
    drop(conn);
    let meetings = meetings
        .iter()
        .map(|met| meetings::view::row(&app, &member, met));
    let mut meetings: Vec<_> = meetings.filter(|row| row.ahead).collect();
    meetings.reverse();
    let competitions = competitions
        .iter()
        .map(|one| competitions::view::row(&app, &member, one));
    let orders = orders
        .iter()
        .map(|order| orders::view::row(&app, &member, order));
    let on_shelf: Vec<_> = jars.iter().filter(|jar| jar.is_offered()).collect();
    let base = app.site.base();
    let here = roll.into_iter().filter(|entry| entry.shut_out_at.is_none());
    let keeps = may(&viewer, Action::KeepClub, &Facts::default());
    page(&ClubPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        words: app.site.club().paragraphs(),
        words_url: keeps.then(|| base.link(admin::paths::CLUB.path)),
        meetings,
        meetings_url: base.link(meetings::paths::LIST.path),
        competitions: competitions.filter(|row| row.going_on).collect(),
        competitions_url: base.link(competitions::paths::LIST.path),
        orders: orders.filter(|row| row.open).collect(),
        orders_url: base.link(orders::paths::LIST.path),
        more_jars: on_shelf.len().saturating_sub(JARS_SHOWN),
        jars: on_shelf
            .into_iter()
            .take(JARS_SHOWN)
            .map(|jar| shelf::view::row(&app, &member, jar))
            .collect(),
        shelf_url: base.link(shelf::paths::SHELF.path),
        equipment_url: base.link(vessels::paths::EQUIPMENT.path),
        figures_url: base.link(batches::paths::FIGURES.path),
        members: here
            .map(|entry| match entry.role {
                Role::Member => (entry.name, ""),
                role => (entry.name, role.as_str()),
            })
            .collect(),
    })
}
