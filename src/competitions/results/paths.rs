//! Addresses of results: looked through and frozen by organisers, then read by everybody.

use crate::web::paths::Route;
use crate::web::policy::Action;

// Organisers, before the release.
/// What is looked at before sheets go back to makers, and what holds the results up.
pub const REVIEW: Route = Route::get("/competitions/{id}/review", Action::TakePart);
/// Notes the public number of the draw.
pub const NOTE_DRAW: Route = Route::post("/competitions/{id}/review/draw", Action::TakePart);
/// Reckons the results and freezes what they were reckoned from.
pub const RECKON: Route = Route::post("/competitions/{id}/review/reckon", Action::TakePart);

// Everybody, after the release.
/// Places and best of the show.
pub const RESULTS: Route = Route::get("/competitions/{id}/results", Action::TakePart);
/// The same for a spreadsheet.
pub const RESULTS_CSV: Route = Route::get("/competitions/{id}/results.csv", Action::TakePart);
/// Reckoned again, with the hash.
pub const RECOUNT: Route = Route::get("/competitions/{id}/recount", Action::TakePart);
/// What is hashed, as a text.
pub const RECOUNT_TEXT: Route = Route::get("/competitions/{id}/recount.txt", Action::TakePart);
/// How points were spread, and how far judges agreed.
pub const STATISTICS: Route = Route::get("/competitions/{id}/statistics", Action::TakePart);
/// An entry of one's own: its place, its sheets.
pub const OWN: Route = Route::get("/competitions/{id}/results/{code}", Action::TakePart);
/// The same to hang on a wall.
pub const CERTIFICATE: Route = Route::get(
    "/competitions/{id}/results/{code}/certificate",
    Action::TakePart,
);

// Makers, beside a batch.
/// What judges said of a batch, what its log says about it, and one thing to change.
pub const NOTES: Route = Route::get("/batches/{id}/judged", Action::Change);
/// Keeps that change as a draft of the next revision.
pub const NOTES_DRAFT: Route = Route::post("/batches/{id}/judged", Action::Change);

/// All of them.
pub const ROUTES: &[Route] = &[
    REVIEW,
    NOTE_DRAW,
    RECKON,
    RESULTS,
    RESULTS_CSV,
    RECOUNT,
    RECOUNT_TEXT,
    STATISTICS,
    OWN,
    CERTIFICATE,
    NOTES,
    NOTES_DRAFT,
];
