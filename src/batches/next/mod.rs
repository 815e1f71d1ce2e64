//! Deciding the next one: what tasters said of a batch, whether it can be mended, and one change for the next revision.

mod answers;
mod pages;
pub mod words;

use super::paths;
use crate::app::App;
use crate::web::paths::Routes;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEXT, pages::show)
        .on(paths::NEXT_DRAFT, pages::keep)
}
