//! Sensors: what a device in the vessel posts becomes readings of the log, under a token that opens this alone.

mod edit;
mod forms;
pub mod model;
mod pages;
pub mod reading;
pub mod store;

use super::paths;
use crate::app::App;
use crate::web::paths::Routes;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::SENSORS, pages::show)
        .on(paths::MAKE_SENSOR, pages::make)
        .on(paths::TRY_SENSOR, pages::try_out)
        .on(paths::EDIT_SENSOR, edit::show)
        .on(paths::SAVE_SENSOR, edit::save)
        .on(paths::TRY_CHANGE, edit::try_out)
        .on(paths::END_SENSOR, pages::end)
}
