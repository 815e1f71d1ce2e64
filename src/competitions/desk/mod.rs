//! The desk: bottles that come in, how they came, and whether anything on them tells whose they are.

mod bottle;
pub mod deeds;
mod doing;
mod forms;
pub mod masking;
mod pages;
pub mod paths;
pub mod store;

use axum::Router;

pub(super) use self::pages::ways;
use crate::app::App;
use crate::web::paths::Routes;

/// The routes of this part.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::DESK, pages::desk)
        .on(paths::BOTTLE, bottle::show)
        .on(paths::RECEIVE, doing::receive)
        .on(paths::CHECK, doing::check)
        .on(paths::FEE, doing::fee)
        .on(paths::TURN_AWAY, doing::turn_away)
        .done()
}
