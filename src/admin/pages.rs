//! The keeper's pages bound to their routes.

use axum::Router;
use axum::extract::State;

use super::{invites, paths, roll};
use crate::app::App;
use crate::web::pages::{Answer, see_other};
use crate::web::paths::Routes;

/// The keeper's routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::KEEPER, begin)
        .on(paths::INVITES, invites::show)
        .on(paths::MAKE_INVITE, invites::make)
        .on(paths::INVITE_LINK, invites::show_link)
        .on(paths::TAKE_BACK, invites::take_back)
        .on(paths::MEMBERS, roll::show)
        .on(paths::SET_ROLE, roll::set_role)
        .on(paths::PASSWORD_LINK, roll::password_link)
        .on(paths::SHUT_OUT, roll::shut_out)
        .on(paths::LET_IN, roll::let_in)
        .done()
}

async fn begin(State(app): State<App>) -> Answer {
    see_other(app.site.base(), paths::MEMBERS.path)
}
