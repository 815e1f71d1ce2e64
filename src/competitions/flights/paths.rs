//! Addresses of this part of a competition.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Categories as they are judged, and the rule by which small ones merge and large ones split.
pub const CATEGORIES: Route = Route::get("/competitions/{id}/categories-judged", Action::TakePart);
/// Does what the rule says.
pub const REGROUP: Route = Route::post("/competitions/{id}/categories-judged", Action::TakePart);
/// All flights with their tables.
pub const FLIGHTS: Route = Route::get("/competitions/{id}/flights", Action::TakePart);
/// Makes them.
pub const MAKE: Route = Route::post("/competitions/{id}/flights", Action::TakePart);
/// Makes the final of a category, or the best of the show.
pub const MAKE_LAST: Route = Route::post("/competitions/{id}/flights/last", Action::TakePart);
/// One of them: its pouring list.
pub const FLIGHT: Route = Route::get("/competitions/{id}/flights/{flight}", Action::TakePart);
/// It is poured, or it was not.
pub const POURED: Route = Route::post(
    "/competitions/{id}/flights/{flight}/poured",
    Action::TakePart,
);
/// Changing it by hand.
pub const CHANGE: Route = Route::get(
    "/competitions/{id}/flights/{flight}/change",
    Action::TakePart,
);
/// Who sits there, and when.
pub const SEAT: Route = Route::post(
    "/competitions/{id}/flights/{flight}/table",
    Action::TakePart,
);
/// Which glasses, in which order.
pub const GLASSES: Route = Route::post(
    "/competitions/{id}/flights/{flight}/glasses",
    Action::TakePart,
);
/// Which flight is poured where, and what is next.
pub const QUEUE: Route = Route::get("/competitions/{id}/queue", Action::TakePart);
/// The mead with which the day opens.
pub const CALIBRATION: Route = Route::get("/competitions/{id}/calibration", Action::TakePart);
/// What a judge gives it.
pub const GIVE: Route = Route::post("/competitions/{id}/calibration", Action::TakePart);
/// Which mead it is.
pub const SET_MEAD: Route = Route::post("/competitions/{id}/calibration/mead", Action::TakePart);
/// Everything that is needed to finish on paper.
pub const PAPER: Route = Route::get("/competitions/{id}/paper", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[
    CATEGORIES,
    REGROUP,
    FLIGHTS,
    MAKE,
    MAKE_LAST,
    FLIGHT,
    POURED,
    CHANGE,
    SEAT,
    GLASSES,
    QUEUE,
    CALIBRATION,
    GIVE,
    SET_MEAD,
    PAPER,
];
