//! How a batch begins: from a revision into a vessel, or taken in while it is going already.

mod forms;
mod going;
mod of_recipe;
mod own;

use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

pub use forms::{READERS, Speaks, name, readers};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEW, of_recipe::ask)
        .on(paths::CREATE, of_recipe::start)
        .on(paths::GOING, going::ask)
        .on(paths::TAKE_IN, going::take_in)
}
