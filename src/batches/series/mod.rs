//! Refining series: batches in order, each with its question, its one change, what was expected, and after tasting the decision.

mod forms;
pub mod model;
mod order;
mod pages;
mod steps;
pub mod store;

use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::ALL_SERIES, pages::list)
        .on(paths::NEW_SERIES, pages::new)
        .on(paths::MAKE_SERIES, pages::make)
        .on(paths::SERIES, pages::show)
        .on(paths::SERIES_ABOUT, pages::about)
        .on(paths::SAVE_SERIES, pages::save)
        .on(paths::DELETE_SERIES, order::ask_to_delete)
        .on(paths::SERIES_DELETED, order::delete)
        .on(paths::INTO_SERIES, steps::ask)
        .on(paths::PUT_INTO_SERIES, steps::put)
        .on(paths::SERIES_STEP, steps::edit)
        .on(paths::SAVE_SERIES_STEP, steps::save)
        .on(paths::MOVE_SERIES_STEP, order::move_step)
        .on(paths::TAKE_SERIES_STEP_OUT, steps::take_out)
}
