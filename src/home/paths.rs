//! Addresses of the first page and of what stands beside it.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The first page.
pub const HOME: Route = Route::get("/", Action::Visit);

/// What programs of search engines may read: only what somebody shares by link, which says itself whether it may be listed.
pub const ROBOTS: Route = Route::get("/robots.txt", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[HOME, ROBOTS];
