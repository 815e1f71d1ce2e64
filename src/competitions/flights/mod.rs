//! Which glasses stand together, who tastes them, in which order they are poured.

pub mod calibration;
mod changing;
pub mod conflicts;
mod finals;
pub mod making;
pub mod model;
mod pages;
mod paper;
pub mod paths;
mod pour;
mod queue;
pub mod regrouping;
pub mod seats;
pub mod store;
mod view;
mod ways;

pub(in crate::competitions) use ways::ways;

use axum::Router;

use crate::app::App;
use crate::web::paths::Routes;

/// The routes of this part.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::FLIGHTS, pages::list)
        .on(paths::MAKE, pages::make)
        .on(paths::MAKE_LAST, finals::make)
        .on(paths::FLIGHT, pour::show)
        .on(paths::POURED, pour::poured)
        .on(paths::CHANGE, changing::show)
        .on(paths::SEAT, changing::put_table)
        .on(paths::GLASSES, changing::put_glasses)
        .on(paths::QUEUE, queue::show)
        .on(paths::PAPER, paper::show)
        .on(paths::CATEGORIES, regrouping::show)
        .on(paths::REGROUP, regrouping::regroup)
        .on(paths::CALIBRATION, calibration::show)
        .on(paths::GIVE, calibration::give)
        .on(paths::SET_MEAD, calibration::set_mead)
        .done()
}
