//! Addresses of judges, and of whoever looks after their sheets.

use crate::web::paths::Route;
use crate::web::policy::Action;

// Judges.
/// What stands before a judge, and what comes.
pub const LIST: Route = Route::get("/competitions/{id}/judging", Action::TakePart);
/// The key under which this session's phone keeps what is not sent yet.
pub const KEY: Route = Route::post("/competitions/{id}/judging/key", Action::TakePart);
/// One flight at its table: who has signed, and what the table agrees on.
pub const TABLE: Route = Route::get("/competitions/{id}/judging/{flight}", Action::TakePart);
/// Writes down what the table agrees on.
pub const AGREE: Route = Route::post(
    "/competitions/{id}/judging/{flight}/agree",
    Action::TakePart,
);
/// Writes down a judge's own order in a final.
pub const ORDER: Route = Route::post(
    "/competitions/{id}/judging/{flight}/order",
    Action::TakePart,
);
/// One entry's sheet.
pub const SHEET: Route = Route::get(
    "/competitions/{id}/judging/{flight}/{code}",
    Action::TakePart,
);
/// Saves it as far as it is.
pub const SAVE: Route = Route::post(
    "/competitions/{id}/judging/{flight}/{code}",
    Action::TakePart,
);
/// The same for the script, which stays on the page.
pub const KEEP: Route = Route::post(
    "/competitions/{id}/judging/{flight}/{code}/keep",
    Action::TakePart,
);
/// Signs it: from now on it stays.
pub const SIGN: Route = Route::post(
    "/competitions/{id}/judging/{flight}/{code}/sign",
    Action::TakePart,
);
/// Steps back from an entry that the judge recognises.
pub const RECOGNISE: Route = Route::post(
    "/competitions/{id}/judging/{flight}/{code}/recognise",
    Action::TakePart,
);

// Organisers and stewards.
/// How far all sheets are.
pub const SHEETS: Route = Route::get("/competitions/{id}/sheets", Action::TakePart);
/// One of them: to type in from paper, to compare, to give back.
pub const PAPER: Route = Route::get(
    "/competitions/{id}/sheets/{flight}/{code}/{judge}",
    Action::TakePart,
);
/// Types it in.
pub const TYPE: Route = Route::post(
    "/competitions/{id}/sheets/{flight}/{code}/{judge}",
    Action::TakePart,
);
/// Compares what somebody else typed with the paper.
pub const CHECK: Route = Route::post(
    "/competitions/{id}/sheets/{flight}/{code}/{judge}/check",
    Action::TakePart,
);
/// Gives it back to its judge.
pub const REOPEN: Route = Route::post(
    "/competitions/{id}/sheets/{flight}/{code}/{judge}/reopen",
    Action::TakePart,
);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST, KEY, TABLE, AGREE, ORDER, SHEET, SAVE, KEEP, SIGN, RECOGNISE, SHEETS, PAPER, TYPE, CHECK,
    REOPEN,
];
