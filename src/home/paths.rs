//! Addresses of the first page and of what it leads to before there is anything else.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The first page.
pub const HOME: Route = Route::get("/", Action::Visit);
/// For whoever has a mead going already.
pub const GOING: Route = Route::get("/already-going", Action::TakePart);

/// What programs of search engines may read: only what somebody shares by link, which says itself whether it may be listed.
pub const ROBOTS: Route = Route::get("/robots.txt", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[HOME, GOING, ROBOTS];
