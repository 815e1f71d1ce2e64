//! Split trials: the parts of one must, each with one difference, under codes, tasted blind on a day that is set months ahead.

pub mod due;
mod forms;
mod opening;
mod pages;
pub mod store;

use super::paths;
use crate::app::App;
use crate::web::paths::Routes;

/// The parts that can be tasted against each other.
pub const PARTS: std::ops::RangeInclusive<usize> = 2..=6;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::SPLIT_TRIAL, pages::show)
        .on(paths::SET_SPLIT_TRIAL, pages::set)
        .on(paths::OPEN_SPLIT_TRIAL, opening::open)
        .on(paths::CALL_SPLIT_TRIAL_OFF, pages::call_off)
}
