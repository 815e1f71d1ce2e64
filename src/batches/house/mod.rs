//! The club's own figures: what its finished batches came to, beside what the book says.

pub mod figures;
pub mod offered;
mod pages;
pub mod store;
pub mod words;

use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

/// Binds the handler.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes.on(paths::FIGURES, pages::show)
}
