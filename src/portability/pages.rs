//! Export, import and leaving bound to their routes.

use axum::Router;
use axum::extract::DefaultBodyLimit;

use super::{archive, export, import, leaving, paths};
use crate::app::App;
use crate::web::paths::Routes;

/// What a file may be wrapped in by a browser.
const WRAPPING: usize = 64 * 1024;

/// The routes of what a member takes along.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::EXPORT, export::pages::show)
        .on(paths::DOWNLOAD, export::pages::download)
        .on(paths::IMPORT, import::pages::show)
        .on(paths::UPLOAD, import::pages::upload)
        .on(paths::WAITING, import::pages::waiting)
        .on(paths::TAKE_IN, import::pages::take_in)
        .on(paths::LEAVE, leaving::pages::show)
        .on(paths::DO_LEAVE, leaving::pages::leave)
        .done()
        .layer(DefaultBodyLimit::max(archive::MAX_PACKED + WRAPPING))
}
