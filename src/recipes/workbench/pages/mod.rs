//! Handlers of the workbench.

mod opening;
mod page;
mod recalculating;
mod saving;

use crate::app::App;
use crate::recipes::paths;
use crate::web::paths::Routes;

/// Binds the handlers of the workbench.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEW, opening::new)
        .on(paths::CREATE, saving::create)
        .on(paths::RECALCULATE, recalculating::recalculate)
        .on(paths::EDIT, opening::edit)
        .on(paths::SAVE, saving::save)
        .on(paths::DRAFT, opening::resume)
        .on(paths::DISCARD, opening::discard)
}
