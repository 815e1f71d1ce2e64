//! What organisers do: rules, categories, roster, phases, the chain of deeds.

mod categories;
mod creating;
mod deleting;
pub mod making;
pub mod moving;
pub mod paths;
mod phase;
mod rehearsal;
pub mod roster;
pub mod rules;
pub mod standing;
pub mod store;
pub mod waters;
mod ways;

use axum::Router;

use crate::app::App;
use crate::web::paths::Routes;

pub(super) use rules::published::{bands, days_ahead};
pub(super) use ways::{of_list, ways};

/// The routes of this part.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::NEW, creating::new)
        .on(paths::CREATE, creating::create)
        .on(paths::REHEARSAL, rehearsal::show)
        .on(paths::REHEARSE, rehearsal::begin)
        .on(paths::RULES, rules::published::show)
        .on(paths::EDIT_RULES, rules::pages::edit)
        .on(paths::SAVE_RULES, rules::pages::save)
        .on(paths::IMPORT_SHEET, rules::pages::import)
        .on(paths::CATEGORIES, categories::list)
        .on(paths::ADD_CATEGORY, categories::add)
        .on(paths::CATEGORY, categories::edit)
        .on(paths::SAVE_CATEGORY, categories::save)
        .on(paths::MOVE_CATEGORY, categories::move_up)
        .on(paths::REMOVE_CATEGORY, categories::remove)
        .on(paths::ASK_DELETE, deleting::ask)
        .on(paths::DELETE, deleting::delete)
        .on(paths::ROSTER, roster::pages::show)
        .on(paths::GIVE_DUTY, roster::pages::give)
        .on(paths::TAKE_DUTY, roster::pages::take)
        .on(paths::TAKE_SEATS, roster::taking::show)
        .on(paths::APART, roster::apart::show)
        .on(paths::KEEP_APART, roster::apart::keep)
        .on(paths::LET_TOGETHER, roster::apart::take_back)
        .on(paths::SET_JUDGE, roster::pages::set_judge)
        .on(paths::STEPPING_IN, roster::stepping_in::show)
        .on(paths::STEP_IN, roster::stepping_in::step_in)
        .on(paths::MINE, roster::mine::show)
        .on(paths::SAVE_MINE, roster::mine::save)
        .on(paths::DEEDS, super::deeds::page::show)
        .on(paths::PHASE, phase::show)
        .on(paths::MOVE_ON, phase::move_on)
        .on(paths::REOPEN, phase::reopen)
        .done()
}
