//! Addresses of the API.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// All numbers of a recipe.
pub const FORMULATE: Route = Route::post("/api/v1/formulate", Action::Visit);
/// One calculation by name.
pub const CALCULATE: Route = Route::post("/api/v1/calculate/{name}", Action::Visit);
/// The description of the API.
pub const DESCRIPTION: Route = Route::get("/api/v1/openapi.json", Action::Visit);

/// What is open to everybody.
pub const ROUTES: &[Route] = &[FORMULATE, CALCULATE, DESCRIPTION];

/// The recipes that a member sees.
pub const RECIPES: Route = Route::get("/api/v1/recipes", Action::TakePart);
/// Saves a new recipe.
pub const CREATE: Route = Route::post("/api/v1/recipes", Action::TakePart);
/// One recipe: its newest revision.
pub const RECIPE: Route = Route::get("/api/v1/recipes/{id}", Action::See);
/// Saves the next revision.
pub const REVISE: Route = Route::put("/api/v1/recipes/{id}", Action::Change);
/// Into the bin.
pub const BIN: Route = Route::delete("/api/v1/recipes/{id}", Action::Change);
/// Who may see it.
pub const SHARE: Route = Route::put("/api/v1/recipes/{id}/visibility", Action::Change);
/// All revisions.
pub const REVISIONS: Route = Route::get("/api/v1/recipes/{id}/revisions", Action::See);
/// One revision.
pub const REVISION: Route = Route::get("/api/v1/recipes/{id}/revisions/{number}", Action::See);

/// A sensor's reading: its own token opens this, whoever's it is.
pub const READINGS: Route = Route::post("/api/v1/batches/{id}/readings", Action::Visit);

/// What a sensor's token opens.
pub const OF_SENSORS: &[Route] = &[READINGS];

/// What a member's token opens.
pub const OF_MEMBERS: &[Route] = &[
    RECIPES, CREATE, RECIPE, REVISE, BIN, SHARE, REVISIONS, REVISION,
];
