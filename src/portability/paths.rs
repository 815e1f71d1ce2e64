//! Addresses of export, import and leaving.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// What an export holds, and the button for it.
pub const EXPORT: Route = Route::get("/settings/export", Action::TakePart);
/// Everything that one owns, as a file.
pub const DOWNLOAD: Route = Route::post("/settings/export", Action::TakePart);
/// The form that takes a file of an export.
pub const IMPORT: Route = Route::get("/settings/import", Action::TakePart);
/// Keeps the file for an hour.
pub const UPLOAD: Route = Route::post("/settings/import", Action::TakePart);
/// What would come in.
pub const WAITING: Route = Route::get("/settings/import/waiting", Action::TakePart);
/// Takes it in.
pub const TAKE_IN: Route = Route::post("/settings/import/waiting", Action::TakePart);
/// What leaving means, and its form.
pub const LEAVE: Route = Route::get("/settings/leave", Action::TakePart);
/// Leaves.
pub const DO_LEAVE: Route = Route::post("/settings/leave", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[
    EXPORT, DOWNLOAD, IMPORT, UPLOAD, WAITING, TAKE_IN, LEAVE, DO_LEAVE,
];
