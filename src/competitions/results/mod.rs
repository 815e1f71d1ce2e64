//! Places, best of the show, the recount, and what goes back to every maker.

pub mod gather;
mod look;
pub mod model;
pub mod notes;
mod own;
pub mod paths;
mod recount;
mod review;
mod shown;
mod statistics;
pub mod store;
mod words;

use axum::Router;
use sqlx::PgConnection;

use super::flights::conflicts::store::walled_off;
use super::model::Duty;
use super::opened::Opened;
use super::phases::Act;
use super::shown::Way;
use crate::app::App;
use crate::engine::contest::account::account;
use crate::web::paths::{Base, Route, Routes};

/// The routes of this part.
pub fn router() -> Router<App> {
    let routes = Routes::of(paths::ROUTES);
    let routes = statistics::bind(recount::bind(review::bind(routes)));
    let routes = notes::bind(own::bind(routes));
    shown::bind(routes).done()
}

/// The ways from a competition's page into this part.
pub(super) fn ways(opened: &Opened, base: &Base) -> Vec<Way> {
    let id = opened.competition.public_id.as_str();
    let way = |route: Route, words: &'static str, about: &str| Way {
        url: base.link(&route.with(&[id])),
        words,
        about: about.to_owned(),
    };
    let mut ways = Vec::new();
    if opened.has(Duty::Organiser) && opened.allows(Act::ReviewSheets) {
        ways.push(way(
            paths::REVIEW,
            "Look through sheets and results",
            "What is empty, odd or unkind, what is still open, and then: reckon and freeze.",
        ));
    }
    if opened.allows(Act::ReadResults) {
        ways.push(way(
            paths::RESULTS,
            "Results",
            "The best of the show, the places of every category, the recount.",
        ));
    }
    ways
}

/// What keeps results from being released, in sentences for this organiser: what is still open, and whether a sheet, an order or
/// a place changed since they were frozen. Asked by the page that has the button, and again as they are released.
///
/// # Errors
/// When the database does not answer.
pub(super) async fn missing(
    conn: &mut PgConnection,
    opened: &Opened,
) -> Result<Vec<String>, sqlx::Error> {
    let competition = &opened.competition;
    let gathered = gather::gather(conn, competition).await?;
    let (answer, text) = account(&gathered.inputs);
    let frozen = store::frozen(conn, competition.id).await?;
    let categories = super::store::categories(conn, competition.id).await?;
    let walled = walled_off(conn, competition.id, opened.viewer).await?;
    let scope = look::Scope {
        categories: &categories,
        walled: &walled,
    };
    let open = scope.open(&gathered, &answer);
    let mut missing = open.holds_up;
    if open.elsewhere && answer.is_held_up() {
        missing.push(
            "Something may be open in a category in which you have an entry: ask another organiser."
                .to_owned(),
        );
    }
    if frozen.is_some_and(|frozen| !frozen.is_hash_of(&text)) {
        missing.push(
            "Something changed since the results were reckoned. Look through them and reckon again."
                .to_owned(),
        );
    }
    Ok(missing)
}
