//! Blending: two to six batches poured together, by volume or to what is wanted of it. The blend is a batch with parents.

mod forms;
mod pages;
mod pouring;
pub mod store;
mod words;

pub(super) use pouring::joining;

use super::paths;
use crate::app::App;
use crate::web::paths::Routes;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::BLEND, pages::ask)
        .on(paths::BLEND_LOOK, pages::look)
        .on(paths::BLEND_POUR, pages::pour)
}
