//! Addresses of the desk.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The desk: a code to type, and what is still to be done.
pub const DESK: Route = Route::get("/competitions/{id}/desk", Action::TakePart);
/// The bottles of one entry, by its code: what the picture on a label opens.
pub const BOTTLE: Route = Route::get("/competitions/{id}/desk/{code}", Action::TakePart);
/// Notes how they came.
pub const RECEIVE: Route = Route::post("/competitions/{id}/desk/{code}", Action::TakePart);
/// Notes that bottle and words tell nothing, once what did is masked.
pub const CHECK: Route = Route::post("/competitions/{id}/desk/{code}/check", Action::TakePart);
/// Notes whether the fee is paid.
pub const FEE: Route = Route::post("/competitions/{id}/desk/{code}/fee", Action::TakePart);
/// Takes an entry out that breaks a rule.
pub const TURN_AWAY: Route = Route::post("/competitions/{id}/desk/{code}/out", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[DESK, BOTTLE, RECEIVE, CHECK, FEE, TURN_AWAY];
