//! Addresses of what organisers do, and of what everybody reads of it.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The form for a new one.
pub const NEW: Route = Route::get("/competitions/new", Action::Organise);
pub const CREATE: Route = Route::post("/competitions/new", Action::Organise);
/// Six waters: what a rehearsal is, and the button that begins one.
pub const REHEARSAL: Route = Route::get("/competitions/rehearsal", Action::Organise);
pub const REHEARSE: Route = Route::post("/competitions/rehearsal", Action::Organise);
/// The rules as everybody reads them.
pub const RULES: Route = Route::get("/competitions/{id}/rules", Action::TakePart);
/// One part of them as a form: `days`, `sheet`, `tables`.
pub const EDIT_RULES: Route = Route::get("/competitions/{id}/rules/{part}", Action::TakePart);
pub const SAVE_RULES: Route = Route::post("/competitions/{id}/rules/{part}", Action::TakePart);
/// The published weights in place of the sheet's own.
pub const IMPORT_SHEET: Route =
    Route::post("/competitions/{id}/rules/sheet/published", Action::TakePart);
pub const CATEGORIES: Route = Route::get("/competitions/{id}/categories", Action::TakePart);
pub const ADD_CATEGORY: Route = Route::post("/competitions/{id}/categories", Action::TakePart);
pub const CATEGORY: Route = Route::get("/competitions/{id}/categories/{place}", Action::TakePart);
pub const SAVE_CATEGORY: Route =
    Route::post("/competitions/{id}/categories/{place}", Action::TakePart);
pub const MOVE_CATEGORY: Route = Route::post(
    "/competitions/{id}/categories/{place}/move",
    Action::TakePart,
);
pub const REMOVE_CATEGORY: Route = Route::post(
    "/competitions/{id}/categories/{place}/remove",
    Action::TakePart,
);
/// Asks whether a draft or a rehearsal shall go, and lets it go.
pub const ASK_DELETE: Route = Route::get("/competitions/{id}/delete", Action::TakePart);
pub const DELETE: Route = Route::post("/competitions/{id}/delete", Action::TakePart);
pub const ROSTER: Route = Route::get("/competitions/{id}/roster", Action::TakePart);
pub const GIVE_DUTY: Route = Route::post("/competitions/{id}/roster", Action::TakePart);
pub const TAKE_DUTY: Route = Route::post("/competitions/{id}/roster/take", Action::TakePart);
/// Asks once more before a duty is taken from a judge who sits at tables.
pub const TAKE_SEATS: Route =
    Route::get("/competitions/{id}/roster/seats/{member}", Action::TakePart);
/// Whom organisers keep apart from whose meads.
pub const APART: Route = Route::get("/competitions/{id}/roster/apart", Action::TakePart);
pub const KEEP_APART: Route = Route::post("/competitions/{id}/roster/apart", Action::TakePart);
/// Takes that back.
pub const LET_TOGETHER: Route =
    Route::post("/competitions/{id}/roster/apart/take", Action::TakePart);
/// How experienced a judge is.
pub const SET_JUDGE: Route = Route::post("/competitions/{id}/roster/judge", Action::TakePart);
/// A keeper steps in where no organiser is left.
pub const STEPPING_IN: Route = Route::get("/competitions/{id}/step-in", Action::KeepClub);
pub const STEP_IN: Route = Route::post("/competitions/{id}/step-in", Action::KeepClub);
/// What a judge does not taste, whose meads they must not judge, how much they taste.
pub const MINE: Route = Route::get("/competitions/{id}/my-limits", Action::TakePart);
pub const SAVE_MINE: Route = Route::post("/competitions/{id}/my-limits", Action::TakePart);
/// Where it stands, what the next phase demands, and the way back.
pub const PHASE: Route = Route::get("/competitions/{id}/phase", Action::TakePart);
pub const MOVE_ON: Route = Route::post("/competitions/{id}/phase", Action::TakePart);
pub const REOPEN: Route = Route::post("/competitions/{id}/phase/back", Action::TakePart);
/// The chain of what was done, verified.
pub const DEEDS: Route = Route::get("/competitions/{id}/deeds", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[
    NEW,
    CREATE,
    REHEARSAL,
    REHEARSE,
    RULES,
    EDIT_RULES,
    SAVE_RULES,
    IMPORT_SHEET,
    CATEGORIES,
    ADD_CATEGORY,
    CATEGORY,
    SAVE_CATEGORY,
    MOVE_CATEGORY,
    REMOVE_CATEGORY,
    ASK_DELETE,
    DELETE,
    ROSTER,
    GIVE_DUTY,
    TAKE_DUTY,
    TAKE_SEATS,
    APART,
    KEEP_APART,
    LET_TOGETHER,
    SET_JUDGE,
    STEPPING_IN,
    STEP_IN,
    MINE,
    SAVE_MINE,
    PHASE,
    MOVE_ON,
    REOPEN,
    DEEDS,
];
