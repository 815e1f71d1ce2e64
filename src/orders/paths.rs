//! Addresses of the honey orders.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Every order.
pub const LIST: Route = Route::get("/club/order", Action::TakePart);
/// The form for a new one.
pub const NEW: Route = Route::get("/club/order/new", Action::TakePart);
/// Opens it.
pub const CREATE: Route = Route::post("/club/order/new", Action::TakePart);
/// One order.
pub const ORDER: Route = Route::get("/club/order/{id}", Action::TakePart);
/// The form of an order that somebody opened.
pub const EDIT: Route = Route::get("/club/order/{id}/edit", Action::Change);
/// Saves it.
pub const SAVE: Route = Route::post("/club/order/{id}/edit", Action::Change);
/// Offers one more honey.
pub const OFFER: Route = Route::post("/club/order/{id}/honeys", Action::Change);
/// Corrects price and pack of a honey that is offered.
pub const CORRECT: Route = Route::post("/club/order/{id}/honeys/{honey}", Action::Change);
/// Offers a honey no more.
pub const TAKE_OUT: Route = Route::post("/club/order/{id}/honeys/{honey}/remove", Action::Change);
/// Adds what a member wants.
pub const ADD: Route = Route::post("/club/order/{id}/lines", Action::TakePart);
/// Takes back what a member wanted.
pub const TAKE_BACK: Route = Route::post("/club/order/{id}/lines/{line}/remove", Action::TakePart);
/// Closes it before its day.
pub const CLOSE: Route = Route::post("/club/order/{id}/close", Action::Change);
/// Says that everybody has paid and has their honey.
pub const FINISH: Route = Route::post("/club/order/{id}/finish", Action::Change);
/// Calls it off.
pub const CANCEL: Route = Route::post("/club/order/{id}/cancel", Action::Change);
/// Notes that a member has paid, or has their honey.
pub const TICK: Route = Route::post("/club/order/{id}/ticks", Action::Change);
/// The list for whoever opened it.
pub const TABLE: Route = Route::get("/club/order/{id}/table.csv", Action::Change);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST, NEW, CREATE, ORDER, EDIT, SAVE, OFFER, CORRECT, TAKE_OUT, ADD, TAKE_BACK, CLOSE, FINISH,
    CANCEL, TICK, TABLE,
];
