//! When something seems wrong: from what one sees to what to look at, what the log says of it, and what to do.

mod asked;
mod facts;
mod pages;

use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::TROUBLES, pages::all)
        .on(paths::TROUBLE_OF, pages::one)
        .on(paths::TROUBLE, pages::all_of_batch)
        .on(paths::SYMPTOM, pages::one_of_batch)
}
