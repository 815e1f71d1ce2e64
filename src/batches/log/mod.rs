//! The log of a batch: the page on which is written with one thumb, what each entry asks for, and how entries read.

pub mod answer;
mod deeds;
mod desk;
mod entries;
pub mod forms;
mod grouped;
mod kept;
mod notes;
mod pages;
pub mod part;
pub mod pictures;
pub mod said;
mod sorts;
pub mod store;
pub mod tasted;
mod tools;
pub mod view;

pub use self::sorts::addition_of;
use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

pub use sorts::{Field, Is};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::LOG, pages::ask)
        .on(paths::READ, pages::read)
        .on(paths::DEED, deeds::ask)
        .on(paths::WRITE, deeds::log)
        .on(paths::NOTE, notes::ask)
        .on(paths::WRITE_NOTE, notes::log)
        .on(paths::ENTRY, entries::show)
        .on(paths::CORRECT, entries::correct)
        .on(paths::STRIKE, entries::strike)
        .on(paths::RESTORE, entries::restore)
        .on(paths::GO_ON, deeds::go_on)
        .on(paths::PICTURE, pictures::pages::show)
        .on(paths::REMOVE_PICTURE, pictures::pages::remove)
}
