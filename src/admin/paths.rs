//! Addresses of the keeper's pages.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Where the keeper's pages begin.
pub const KEEPER: Route = Route::get("/keeper", Action::KeepClub);
/// The invites, and the form for a new one.
pub const INVITES: Route = Route::get("/keeper/invites", Action::KeepClub);
/// Makes an invite and shows its link.
pub const MAKE_INVITE: Route = Route::post("/keeper/invites", Action::KeepClub);
/// Makes one more link to an invite and shows it.
pub const INVITE_LINK: Route = Route::post("/keeper/invites/{id}/link", Action::KeepClub);
/// Takes an invite back.
pub const TAKE_BACK: Route = Route::post("/keeper/invites/{id}/take-back", Action::KeepClub);

/// The members.
pub const MEMBERS: Route = Route::get("/keeper/members", Action::KeepClub);
/// Gives a member a role.
pub const SET_ROLE: Route = Route::post("/keeper/members/{id}/role", Action::KeepClub);
/// Makes a link for a member's new password and shows it.
pub const PASSWORD_LINK: Route = Route::post("/keeper/members/{id}/new-password", Action::KeepClub);
/// Gives a newcomer another member to ask.
pub const SET_MENTOR: Route = Route::post("/keeper/members/{id}/mentor", Action::KeepClub);
/// What to know before a member's second step is taken away.
pub const SECOND_STEP: Route = Route::get("/keeper/members/{id}/second-step", Action::KeepClub);
/// Takes it away.
pub const TAKE_SECOND_STEP: Route =
    Route::post("/keeper/members/{id}/second-step", Action::KeepClub);
/// Shuts a member out.
pub const SHUT_OUT: Route = Route::post("/keeper/members/{id}/shut-out", Action::KeepClub);
/// Lets a member in again.
pub const LET_IN: Route = Route::post("/keeper/members/{id}/let-in", Action::KeepClub);

/// What the club calls itself and says of itself.
pub const CLUB: Route = Route::get("/keeper/club", Action::KeepClub);
/// Saves it.
pub const SAVE_CLUB: Route = Route::post("/keeper/club", Action::KeepClub);
/// How the server is.
pub const HEALTH: Route = Route::get("/keeper/health", Action::KeepClub);

/// All of them.
pub const ROUTES: &[Route] = &[
    KEEPER,
    INVITES,
    MAKE_INVITE,
    INVITE_LINK,
    TAKE_BACK,
    MEMBERS,
    SET_ROLE,
    PASSWORD_LINK,
    SET_MENTOR,
    SECOND_STEP,
    TAKE_SECOND_STEP,
    SHUT_OUT,
    LET_IN,
    CLUB,
    SAVE_CLUB,
    HEALTH,
];
