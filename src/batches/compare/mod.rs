//! Comparing batches: what differed, what came out, how it was rated at what age, and their fermentations on one picture.

mod pages;
pub mod store;
mod table;
pub mod tastings;

use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

/// The most batches side by side: as many as the picture tells apart.
pub const MOST: usize = 6;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes.on(paths::COMPARE, pages::compare)
}
