//! Address of the first page.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The first page.
pub const HOME: Route = Route::get("/", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[HOME];
