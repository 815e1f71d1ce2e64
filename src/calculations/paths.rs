//! Addresses of the calculations.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// All of them, by the moment they are wanted.
pub const INDEX: Route = Route::get("/calculations", Action::Visit);
/// One of them; what is asked stands in the query, so that every answer has its address.
pub const PAGE: Route = Route::get("/calculations/{name}", Action::Visit);

/// Both.
pub const ROUTES: &[Route] = &[INDEX, PAGE];

/// The page of a calculation, below the base.
pub fn page(name: &str) -> String {
    PAGE.with(&[name])
}
