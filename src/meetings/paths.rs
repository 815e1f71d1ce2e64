//! Addresses of the meetings.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Those ahead, then those that were.
pub const LIST: Route = Route::get("/club/meetings", Action::TakePart);
/// The form for another one.
pub const NEW: Route = Route::get("/club/meetings/new", Action::TakePart);
/// Calls it.
pub const CREATE: Route = Route::post("/club/meetings/new", Action::TakePart);
/// One meeting.
pub const MEETING: Route = Route::get("/club/meetings/{id}", Action::TakePart);
/// The form of a meeting that somebody called.
pub const EDIT: Route = Route::get("/club/meetings/{id}/edit", Action::Change);
/// Saves it.
pub const SAVE: Route = Route::post("/club/meetings/{id}/edit", Action::Change);
/// Says whether a member comes.
pub const ANSWER: Route = Route::post("/club/meetings/{id}/answer", Action::TakePart);
/// Puts something down for tasting.
pub const BRING: Route = Route::post("/club/meetings/{id}/pours", Action::TakePart);
/// Goes back to the suggested order of pouring.
pub const SUGGESTED: Route = Route::post("/club/meetings/{id}/pours/suggested", Action::Change);
/// Moves something up or down the list.
pub const MOVE: Route = Route::post("/club/meetings/{id}/pours/{pour}/move", Action::Change);
/// Takes something off the list.
pub const TAKE_OFF: Route =
    Route::post("/club/meetings/{id}/pours/{pour}/remove", Action::TakePart);
/// Calls it off.
pub const CANCEL: Route = Route::post("/club/meetings/{id}/cancel", Action::Change);
/// The pouring list, to be printed.
pub const POURING: Route = Route::get("/club/meetings/{id}/pouring", Action::TakePart);
/// The meeting for a calendar.
pub const CALENDAR: Route = Route::get("/club/meetings/{id}/meeting.ics", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST, NEW, CREATE, MEETING, EDIT, SAVE, ANSWER, BRING, SUGGESTED, MOVE, TAKE_OFF, CANCEL,
    POURING, CALENDAR,
];
