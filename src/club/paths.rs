//! Address of the club's page.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// What there is in the club.
pub const CLUB: Route = Route::get("/club", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[CLUB];
