//! Addresses of tastings.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Those that are open, and those that were.
pub const LIST: Route = Route::get("/tastings", Action::TakePart);
/// The form for another one.
pub const NEW: Route = Route::get("/tastings/new", Action::TakePart);
/// Opens it.
pub const CREATE: Route = Route::post("/tastings/new", Action::TakePart);
/// One tasting: before its end what is poured, then what was said.
pub const TASTING: Route = Route::get("/tastings/{id}", Action::See);
/// Closes it: from now on everybody who answered reads everything.
pub const CLOSE: Route = Route::post("/tastings/{id}/close", Action::See);
/// Asks whether it is to go, with everything that was said.
pub const REMOVE: Route = Route::get("/tastings/{id}/off", Action::Change);
/// Calls an open one off, deletes a closed one, with everything that was said.
pub const CALL_OFF: Route = Route::post("/tastings/{id}/off", Action::Change);

// Tasting, as a member.
/// Takes a seat.
pub const SIT: Route = Route::post("/tastings/{id}/seat", Action::See);
/// One's own sheet.
pub const SEAT: Route = Route::get("/tastings/{id}/seat", Action::See);
/// Picks a glass, or puts glasses in order.
pub const PICK: Route = Route::post("/tastings/{id}/seat/pick", Action::See);
/// One mead on one's sheet.
pub const MEAD: Route = Route::get("/tastings/{id}/seat/{place}", Action::See);
/// Says what it is like.
pub const ANSWER: Route = Route::post("/tastings/{id}/seat/{place}", Action::See);

// Tasting, as a guest.
/// The links of a tasting.
pub const GUESTS: Route = Route::get("/tastings/{id}/guests", Action::Change);
/// Makes some, and shows them once.
pub const INVITE: Route = Route::post("/tastings/{id}/guests", Action::Change);
/// Takes one back.
pub const END_LINK: Route = Route::post("/tastings/{id}/guests/{link}/end", Action::Change);
/// What a guest's link opens; looking uses nothing up.
pub const WELCOME: Route = Route::get("/taste/{token}", Action::Visit);
/// Takes the seat: the link is used up.
pub const COME_IN: Route = Route::post("/taste/{token}", Action::Visit);
/// A guest's own sheet.
pub const GUEST_SEAT: Route = Route::get("/seat/{token}", Action::Visit);
/// Picks a glass, or puts glasses in order.
pub const GUEST_PICK: Route = Route::post("/seat/{token}/pick", Action::Visit);
/// One mead on a guest's sheet.
pub const GUEST_MEAD: Route = Route::get("/seat/{token}/{place}", Action::Visit);
/// Says what it is like.
pub const GUEST_ANSWER: Route = Route::post("/seat/{token}/{place}", Action::Visit);

// On paper.
/// A sheet for each taster, to print.
pub const SHEETS: Route = Route::get("/tastings/{id}/sheets", Action::Change);
/// Which glass holds what, for whoever pours.
pub const KEY: Route = Route::get("/tastings/{id}/key", Action::Change);
/// What the sheets say, to type in.
pub const FOUND: Route = Route::get("/tastings/{id}/found", Action::Change);
/// Takes that in, and closes the tasting.
pub const TAKE_FOUND: Route = Route::post("/tastings/{id}/found", Action::Change);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST,
    NEW,
    CREATE,
    TASTING,
    CLOSE,
    REMOVE,
    CALL_OFF,
    SIT,
    SEAT,
    PICK,
    MEAD,
    ANSWER,
    GUESTS,
    INVITE,
    END_LINK,
    WELCOME,
    COME_IN,
    GUEST_SEAT,
    GUEST_PICK,
    GUEST_MEAD,
    GUEST_ANSWER,
    SHEETS,
    KEY,
    FOUND,
    TAKE_FOUND,
];
