//! The keeper's pages bound to their routes.

use axum::Router;

use super::{club, contents, health, invites, paths, roll, second};
use crate::app::App;
use crate::web::paths::Routes;

/// The keeper's routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::KEEPER, contents::show)
        .on(paths::INVITES, invites::show)
        .on(paths::MAKE_INVITE, invites::make)
        .on(paths::INVITE_LINK, invites::show_link)
        .on(paths::TAKE_BACK, invites::take_back)
        .on(paths::MEMBERS, roll::show)
        .on(paths::SET_ROLE, roll::set_role)
        .on(paths::PASSWORD_LINK, roll::password_link)
        .on(paths::SET_MENTOR, roll::set_mentor)
        .on(paths::SECOND_STEP, second::show)
        .on(paths::TAKE_SECOND_STEP, second::take)
        .on(paths::SHUT_OUT, roll::shut_out)
        .on(paths::LET_IN, roll::let_in)
        .on(paths::CLUB, club::show)
        .on(paths::SAVE_CLUB, club::save)
        .on(paths::HEALTH, health::show)
        .done()
}
