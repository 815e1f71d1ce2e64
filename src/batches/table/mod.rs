//! Readings out of a table: pasted or as a file, shown row by row before they are taken in.

pub mod columns;
mod pages;
pub mod rows;

use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;

use super::paths;
use crate::app::App;
use crate::web::paths::Routes;

/// The longest table, bytes: some thousand rows.
pub const MAX_BYTES: usize = 100_000;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    let limit = DefaultBodyLimit::max(MAX_BYTES + 4096);
    routes
        .on(paths::IMPORT, pages::ask)
        .on(paths::LOOK, pages::look)
        .on(paths::LOOK_AT_FILE, pages::look_at_file.layer(limit))
        .on(paths::TAKE_ROWS, pages::take)
}
