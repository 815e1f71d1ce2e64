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

/// All of them.
pub const ROUTES: &[Route] = &[KEEPER, INVITES, MAKE_INVITE, INVITE_LINK, TAKE_BACK];
