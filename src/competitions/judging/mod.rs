//! Judges at the table: sheets, signing off, what the table agrees on, stepping back.

mod agreeing;
pub mod forms;
mod list;
pub mod model;
mod one;
mod overview;
mod page;
mod paper;
pub mod paths;
mod seated;
pub mod store;
mod table;
mod ways;
pub mod words;

use axum::Router;

pub(in crate::competitions) use ways::ways;

use crate::app::App;
use crate::web::paths::Routes;

/// The routes of this part.
pub fn router() -> Router<App> {
    let routes = Routes::of(paths::ROUTES)
        .on(paths::LIST, list::list)
        .on(paths::TABLE, table::show)
        .on(paths::AGREE, agreeing::agree)
        .on(paths::ORDER, agreeing::order)
        .on(paths::SHEETS, overview::sheets);
    paper::bind(one::bind(routes)).done()
}
