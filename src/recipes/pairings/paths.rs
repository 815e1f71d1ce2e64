//! The address of what goes with what.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Honeys for a fruit, flower or spice, and the other way round; for everybody.
pub const PAIRINGS: Route = Route::get("/pairings", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[PAIRINGS];
