//! Addresses of labels.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Chooses the bottles and the sheet.
pub const LABELS: Route = Route::get("/batches/{id}/labels", Action::Change);
/// The labels themselves, to be printed.
pub const PRINT: Route = Route::get("/batches/{id}/labels/print", Action::Change);
/// How labels lie on a kind of sheet.
pub const STYLE: Route = Route::get("/labels/{file}", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[LABELS, PRINT, STYLE];
