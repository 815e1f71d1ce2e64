//! Addresses of competitions that everybody who takes part has in common.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Those that are going on, and those that were.
pub const LIST: Route = Route::get("/competitions", Action::TakePart);
/// One of them: what it is about, where it stands, and the way to one's own part in it.
pub const COMPETITION: Route = Route::get("/competitions/{id}", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[LIST, COMPETITION];
