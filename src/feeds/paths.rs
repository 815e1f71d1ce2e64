//! Addresses of feeds.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Recipes that their makers show to everybody.
pub const PUBLIC: Route = Route::get("/feeds/recipes.atom", Action::Visit);
/// What is new in the club: the name of the file is a member's token.
pub const OF_MEMBER: Route = Route::get("/feeds/{file}", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[PUBLIC, OF_MEMBER];
