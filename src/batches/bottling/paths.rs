//! Addresses of filling a batch into bottles or a keg.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// What it takes, and what comes of it.
pub const BOTTLING: Route = Route::get("/batches/{id}/bottling", Action::Change);
/// Reckons, or writes it down.
pub const FILL: Route = Route::post("/batches/{id}/bottling", Action::Change);

/// Both.
pub const ROUTES: &[Route] = &[BOTTLING, FILL];
