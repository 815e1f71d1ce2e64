//! Handlers of the list, the sheet and the revisions.

mod deeds;
mod list;
mod revisions;
mod sheet;

use axum::Router;

use super::paths;
use super::workbench;
use crate::app::App;
use crate::web::paths::Routes;
use crate::web::viewer::Member;

/// Every route of recipes.
pub fn router() -> Router<App> {
    let own = Routes::of(paths::ROUTES)
        .on(paths::LIST, list::list)
        .on(paths::SHEET, sheet::sheet)
        .on(paths::REVISIONS, revisions::revisions)
        .on(paths::REVISION, sheet::revision)
        .on(paths::RESTORE, revisions::restore)
        .on(paths::SHARE, deeds::share)
        .on(paths::BIN, deeds::bin)
        .on(paths::UNBIN, deeds::unbin);
    workbench::pages::bind(own).done()
}

fn day(at: chrono::DateTime<chrono::Utc>, member: &Member) -> String {
    at.with_timezone(&member.settings.zone)
        .format("%-d %B %Y")
        .to_string()
}

fn note_words(note: &str, restored_from: Option<i32>) -> String {
    match (restored_from, note.trim()) {
        (Some(number), "") => format!("Revision {number} brought back."),
        (Some(number), note) => format!("Revision {number} brought back. {note}"),
        (None, note) => note.to_owned(),
    }
}
