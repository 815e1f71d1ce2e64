//! Finishing: the last third of a batch, from “is it finished?” to what is ready to be filled. What is known comes from the log, and
//! what is done goes back into it.

mod acid;
mod dosing;
mod finished;
mod flavour;
mod known;
mod offered;
mod overview;
pub(super) mod passing;
mod shared;
mod stabilise;
mod stages;
mod sweeten;
mod trials;

use crate::app::App;
use crate::web::paths::Routes;

use super::paths;

pub use self::known::{is_empty, is_finished, reads, verdict};
pub(super) use self::passing::dangers_passed;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    let routes = routes
        .on(paths::FINISHING, overview::show)
        .on(paths::FINISHED, finished::show)
        .on(paths::GO_ON_UNFINISHED, finished::go_on)
        .on(paths::STABILISE, stabilise::show)
        .on(paths::STABILISED, stabilise::give)
        .on(paths::SWEETEN, sweeten::show)
        .on(paths::SWEETENED, sweeten::give)
        .on(paths::SOUR, acid::show)
        .on(paths::SOURED, acid::give)
        .on(paths::FLAVOUR, flavour::show)
        .on(paths::FLAVOURED, flavour::give);
    trials::bind(routes)
}
