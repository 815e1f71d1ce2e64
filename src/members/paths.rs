//! Addresses of the members' pages.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The form that makes the first keeper, behind a one-time link.
pub const SET_UP: Route = Route::get("/set-up/{token}", Action::Visit);
/// Makes the first keeper.
pub const DO_SET_UP: Route = Route::post("/set-up/{token}", Action::Visit);
/// The form for a new password, behind a one-time link.
pub const RENEW: Route = Route::get("/new-password/{token}", Action::Visit);
/// Sets the new password.
pub const DO_RENEW: Route = Route::post("/new-password/{token}", Action::Visit);
/// The form by which somebody comes in, behind an invite's link.
pub const JOIN: Route = Route::get("/join/{token}", Action::Visit);
/// Lets them in.
pub const DO_JOIN: Route = Route::post("/join/{token}", Action::Visit);
/// What a new member reads first.
pub const WELCOME: Route = Route::get("/welcome", Action::TakePart);
/// The form that signs in.
pub const SIGN_IN: Route = Route::get("/sign-in", Action::Visit);
/// Signs in.
pub const DO_SIGN_IN: Route = Route::post("/sign-in", Action::Visit);
/// Signs out.
pub const SIGN_OUT: Route = Route::post("/sign-out", Action::Visit);
/// A member's own settings.
pub const SETTINGS: Route = Route::get("/settings", Action::TakePart);
/// Saves them.
pub const SAVE_SETTINGS: Route = Route::post("/settings", Action::TakePart);
/// Offers to be asked by newcomers, or takes it back.
pub const MENTORING: Route = Route::post("/settings/newcomers", Action::TakePart);
/// The form that changes the password.
pub const PASSWORD: Route = Route::get("/settings/password", Action::TakePart);
/// Changes it.
pub const CHANGE_PASSWORD: Route = Route::post("/settings/password", Action::TakePart);
/// Ends all of a member's sessions but this one.
pub const END_OTHERS: Route = Route::post("/settings/sessions/end-others", Action::TakePart);
/// Ends one of a member's sessions.
pub const END_SESSION: Route = Route::post("/settings/sessions/{id}/end", Action::TakePart);
/// A member's tokens for programs and feed readers.
pub const TOKENS: Route = Route::get("/settings/tokens", Action::TakePart);
/// Makes one.
pub const MAKE_TOKEN: Route = Route::post("/settings/tokens", Action::TakePart);
/// Ends one.
pub const END_TOKEN: Route = Route::post("/settings/tokens/{id}/end", Action::TakePart);
/// Ends all of them.
pub const END_TOKENS: Route = Route::post("/settings/tokens/end-all", Action::TakePart);
/// Where password managers look for the form that changes the password.
pub const WELL_KNOWN: Route = Route::get("/.well-known/change-password", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[
    SET_UP,
    DO_SET_UP,
    RENEW,
    DO_RENEW,
    JOIN,
    DO_JOIN,
    WELCOME,
    SIGN_IN,
    DO_SIGN_IN,
    SIGN_OUT,
    SETTINGS,
    SAVE_SETTINGS,
    MENTORING,
    PASSWORD,
    CHANGE_PASSWORD,
    END_OTHERS,
    END_SESSION,
    TOKENS,
    MAKE_TOKEN,
    END_TOKEN,
    END_TOKENS,
    WELL_KNOWN,
];
