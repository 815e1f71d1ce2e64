//! Addresses of vessels, instruments and what the club lends.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// My vessels and instruments.
pub const LIST: Route = Route::get("/vessels", Action::TakePart);
/// The form of a new vessel, perhaps begun from a usual one.
pub const NEW: Route = Route::get("/vessels/new", Action::TakePart);
/// Keeps a new vessel.
pub const ADD: Route = Route::post("/vessels/new", Action::TakePart);
/// The form of a vessel.
pub const EDIT: Route = Route::get("/vessels/{id}", Action::Change);
/// Keeps what was changed.
pub const SAVE: Route = Route::post("/vessels/{id}", Action::Change);
/// Out of use.
pub const RETIRE: Route = Route::post("/vessels/{id}/out-of-use", Action::Change);
/// Into use again.
pub const BRING_BACK: Route = Route::post("/vessels/{id}/bring-back", Action::Change);

/// The form of a new instrument of one kind.
pub const NEW_INSTRUMENT: Route = Route::get("/instruments/new/{kind}", Action::TakePart);
/// Keeps a new instrument.
pub const ADD_INSTRUMENT: Route = Route::post("/instruments/new/{kind}", Action::TakePart);
/// The form of an instrument.
pub const EDIT_INSTRUMENT: Route = Route::get("/instruments/{id}", Action::Change);
/// Keeps what was changed.
pub const SAVE_INSTRUMENT: Route = Route::post("/instruments/{id}", Action::Change);
/// Out of use.
pub const RETIRE_INSTRUMENT: Route = Route::post("/instruments/{id}/out-of-use", Action::Change);
/// Into use again.
pub const BRING_BACK_INSTRUMENT: Route =
    Route::post("/instruments/{id}/bring-back", Action::Change);

/// What the club and its members lend.
pub const EQUIPMENT: Route = Route::get("/club/equipment", Action::TakePart);
/// The form of a thing to lend.
pub const NEW_THING: Route = Route::get("/club/equipment/new", Action::TakePart);
/// Keeps a thing to lend.
pub const ADD_THING: Route = Route::post("/club/equipment/new", Action::TakePart);
/// A thing with everybody who had it.
pub const THING: Route = Route::get("/club/equipment/{id}", Action::TakePart);
/// The form of a thing.
pub const EDIT_THING: Route = Route::get("/club/equipment/{id}/edit", Action::Change);
/// Keeps what was changed.
pub const SAVE_THING: Route = Route::post("/club/equipment/{id}/edit", Action::Change);
/// Lent no more.
pub const WITHDRAW_THING: Route = Route::post("/club/equipment/{id}/withdraw", Action::Change);
/// Lent again.
pub const OFFER_THING: Route = Route::post("/club/equipment/{id}/offer-again", Action::Change);
/// Asks for a thing.
pub const ASK: Route = Route::post("/club/equipment/{id}/ask", Action::TakePart);
/// Lends it to whoever asked.
pub const LEND: Route = Route::post("/club/equipment/{id}/loans/{loan}/lend", Action::Change);
/// Says no to whoever asked.
pub const REFUSE: Route = Route::post("/club/equipment/{id}/loans/{loan}/refuse", Action::Change);
/// Takes one's own question back.
pub const TAKE_BACK: Route = Route::post(
    "/club/equipment/{id}/loans/{loan}/take-back",
    Action::Change,
);
/// It was given back.
pub const GIVEN_BACK: Route = Route::post(
    "/club/equipment/{id}/loans/{loan}/given-back",
    Action::Change,
);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST,
    NEW,
    ADD,
    EDIT,
    SAVE,
    RETIRE,
    BRING_BACK,
    NEW_INSTRUMENT,
    ADD_INSTRUMENT,
    EDIT_INSTRUMENT,
    SAVE_INSTRUMENT,
    RETIRE_INSTRUMENT,
    BRING_BACK_INSTRUMENT,
    EQUIPMENT,
    NEW_THING,
    ADD_THING,
    THING,
    EDIT_THING,
    SAVE_THING,
    WITHDRAW_THING,
    OFFER_THING,
    ASK,
    LEND,
    REFUSE,
    TAKE_BACK,
    GIVEN_BACK,
];
