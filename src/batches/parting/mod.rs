//! Parting: a batch goes on in several vessels, each with a log of its own; one batch is filled up from another.

pub(in crate::batches) mod forms;
mod pages;
pub mod shares;
pub mod store;
mod top_up;

use super::paths;
use crate::app::App;
use crate::web::paths::Routes;

pub use pages::{Kin, kin};
pub(in crate::batches) use pages::{differs, speaks};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::PARTS, pages::ask)
        .on(paths::PART, pages::part)
        .on(paths::TOP_UP, top_up::ask)
        .on(paths::FILL_UP, top_up::fill)
}
