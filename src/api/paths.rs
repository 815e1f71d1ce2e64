//! Addresses of the API.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// All numbers of a recipe.
pub const FORMULATE: Route = Route::post("/api/v1/formulate", Action::Visit);
/// One calculation by name.
pub const CALCULATE: Route = Route::post("/api/v1/calculate/{name}", Action::Visit);
/// The description of the API.
pub const DESCRIPTION: Route = Route::get("/api/v1/openapi.json", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[FORMULATE, CALCULATE, DESCRIPTION];
