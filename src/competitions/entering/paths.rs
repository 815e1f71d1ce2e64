//! Addresses of entering, and of a maker's own entries.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The form of another entry, with what a batch proposes.
pub const NEW: Route = Route::get("/competitions/{id}/enter", Action::TakePart);
/// Enters it.
pub const ENTER: Route = Route::post("/competitions/{id}/enter", Action::TakePart);
/// What the member entered.
pub const MINE: Route = Route::get("/competitions/{id}/mine", Action::TakePart);
/// One of those.
pub const ENTRY: Route = Route::get("/competitions/{id}/mine/{entry}", Action::TakePart);
/// Its form.
pub const EDIT: Route = Route::get("/competitions/{id}/mine/{entry}/edit", Action::TakePart);
/// Saves it.
pub const SAVE: Route = Route::post("/competitions/{id}/mine/{entry}/edit", Action::TakePart);
/// Takes it back.
pub const WITHDRAW: Route =
    Route::post("/competitions/{id}/mine/{entry}/withdraw", Action::TakePart);
/// Says that the member had no part in making it.
pub const LEAVE: Route = Route::post("/competitions/{id}/mine/{entry}/leave", Action::TakePart);
/// Its labels, on a kind of sheet.
pub const LABELS: Route = Route::get("/competitions/{id}/mine/{entry}/labels", Action::TakePart);
/// The labels of all that the member entered, one after another.
pub const ALL_LABELS: Route = Route::get("/competitions/{id}/labels", Action::TakePart);
/// What was sealed when entries closed, and what it was made of.
pub const SEALED: Route = Route::get("/competitions/{id}/sealed", Action::TakePart);
/// The organiser's list of entries, without their makers.
pub const ENTRIES: Route = Route::get("/competitions/{id}/entries", Action::TakePart);
/// The same with their makers; a reason is asked for and kept.
pub const NAMES: Route = Route::post("/competitions/{id}/entries", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[
    ENTRIES, NAMES, NEW, ENTER, MINE, ENTRY, EDIT, SAVE, WITHDRAW, LEAVE, LABELS, ALL_LABELS,
    SEALED,
];
