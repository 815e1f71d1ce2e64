//! Entering a mead, changing it, withdrawing it, its label, and the seal on whose it is.

mod changing;
mod form_page;
pub mod forms;
mod labels;
pub mod model;
mod pages;
pub mod paths;
pub mod proposed;
pub mod sealed;
mod sealed_page;
pub mod store;
pub mod taking;
mod ways;
pub mod whose;

use axum::Router;

pub(super) use self::pages::{declared_facts, today};
pub use self::taking::{Entered, enter};
pub(super) use self::ways::ways;
use crate::app::App;
use crate::web::paths::Routes;

/// The routes of this part.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::NEW, pages::new)
        .on(paths::ENTER, pages::take)
        .on(paths::MINE, pages::mine)
        .on(paths::ENTRY, pages::show)
        .on(paths::EDIT, changing::edit)
        .on(paths::SAVE, changing::save)
        .on(paths::WITHDRAW, changing::take_back)
        .on(paths::LEAVE, changing::had_no_part)
        .on(paths::LABELS, labels::show)
        .on(paths::ALL_LABELS, labels::all)
        .on(paths::ENTRIES, whose::list)
        .on(paths::NAMES, whose::names)
        .on(paths::SEALED, sealed_page::show)
        .done()
}
