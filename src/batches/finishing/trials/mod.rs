//! Glasses on the bench: set up with numbers that tell nothing, tasted, and turned into the dose of the whole batch.

mod making;
mod one;
mod outcome;
mod sheet;
mod stocks;

use crate::app::App;
use crate::batches::model::Logged;
use crate::batches::opened::Opened;
use crate::batches::paths;
use crate::engine::log::Deed;
use crate::engine::log::entry::Trial;
use crate::web::error::Error;
use crate::web::paths::Routes;

/// Where an addition keeps of which trial it is the outcome.
const OF_TRIAL: &str = "trial";

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::TRIALS, making::show)
        .on(paths::MAKE_TRIAL, making::make)
        .on(paths::TRIAL, one::show)
        .on(paths::CHOOSE_GLASS, one::choose)
        .on(paths::GIVE_AS_TRIED, one::give)
        .on(paths::TRIAL_SHEET, sheet::show)
}

/// All of a batch that count, the newest first.
fn all(opened: &Opened) -> impl Iterator<Item = (&Logged, &Trial)> {
    let log = opened.log.iter().rev().filter(|logged| !logged.struck);
    log.filter_map(|logged| match &logged.deed {
        Deed::Trial(trial) => Some((logged, trial)),
        _ => None,
    })
}

/// The one of a number in an address.
fn find<'a>(opened: &'a Opened, number: &str) -> Result<(&'a Logged, &'a Trial), Error> {
    let number: i32 = number.parse().map_err(|_| Error::not_found())?;
    let found = all(opened).find(|(logged, _)| logged.entry == number);
    found.ok_or_else(Error::not_found)
}
