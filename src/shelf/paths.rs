//! Addresses of the honey shelf.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Every jar that stands on it.
pub const SHELF: Route = Route::get("/club/honey", Action::TakePart);
/// The form for another jar.
pub const NEW: Route = Route::get("/club/honey/new", Action::TakePart);
/// Puts it on the shelf.
pub const CREATE: Route = Route::post("/club/honey/new", Action::TakePart);
/// One jar, and what was done with it.
pub const JAR: Route = Route::get("/club/honey/{id}", Action::TakePart);
/// The form of a jar of one's own.
pub const EDIT: Route = Route::get("/club/honey/{id}/edit", Action::Change);
/// Saves it.
pub const SAVE: Route = Route::post("/club/honey/{id}/edit", Action::Change);
/// Takes some.
pub const TAKE: Route = Route::post("/club/honey/{id}/take", Action::TakePart);
/// Says what the scale says is left.
pub const WEIGH: Route = Route::post("/club/honey/{id}/weigh", Action::Change);
/// Off the shelf.
pub const PUT_AWAY: Route = Route::post("/club/honey/{id}/put-away", Action::Change);
/// Back on it.
pub const PUT_BACK: Route = Route::post("/club/honey/{id}/put-back", Action::Change);

/// All of them.
pub const ROUTES: &[Route] = &[
    SHELF, NEW, CREATE, JAR, EDIT, SAVE, TAKE, WEIGH, PUT_AWAY, PUT_BACK,
];
