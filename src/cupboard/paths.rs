//! Addresses of the cupboard.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Everything in it.
pub const LIST: Route = Route::get("/cupboard", Action::TakePart);
/// The form for something new.
pub const NEW: Route = Route::get("/cupboard/new", Action::TakePart);
/// Puts it in.
pub const CREATE: Route = Route::post("/cupboard/new", Action::TakePart);
/// One thing, and what was done with it.
pub const ITEM: Route = Route::get("/cupboard/{id}", Action::See);
/// The form of a thing that is in it.
pub const EDIT: Route = Route::get("/cupboard/{id}/edit", Action::Change);
/// Saves it.
pub const SAVE: Route = Route::post("/cupboard/{id}/edit", Action::Change);
/// Uses some of it up.
pub const USE: Route = Route::post("/cupboard/{id}/use", Action::Change);
/// Throws away what is left of it.
pub const THROW_AWAY: Route = Route::post("/cupboard/{id}/throw-away", Action::Change);

/// All of them.
pub const ROUTES: &[Route] = &[LIST, NEW, CREATE, ITEM, EDIT, SAVE, USE, THROW_AWAY];
