//! Addresses of the catalogue.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Everything, by kind, with search.
pub const LIST: Route = Route::get("/catalogue", Action::Visit);
/// One entry.
pub const ENTRY: Route = Route::get("/catalogue/{key}", Action::Visit);
/// The form of a new entry of the club's own.
pub const NEW: Route = Route::get("/catalogue/new/{sort}", Action::KeepClub);
/// Makes it.
pub const CREATE: Route = Route::post("/catalogue/new/{sort}", Action::KeepClub);
/// The form of an own entry.
pub const EDIT: Route = Route::get("/catalogue/{key}/edit", Action::KeepClub);
/// Saves it.
pub const SAVE: Route = Route::post("/catalogue/{key}/edit", Action::KeepClub);
/// Everything that an own entry ever said.
pub const HISTORY: Route = Route::get("/catalogue/{key}/history", Action::TakePart);
/// Makes the words of an old revision the newest again.
pub const BRING_BACK: Route = Route::post("/catalogue/{key}/history/{number}", Action::KeepClub);
/// Offers it no more.
pub const WITHDRAW: Route = Route::post("/catalogue/{key}/withdraw", Action::KeepClub);
/// Offers it again.
pub const PUT_BACK: Route = Route::post("/catalogue/{key}/put-back", Action::KeepClub);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST, ENTRY, NEW, CREATE, EDIT, SAVE, HISTORY, BRING_BACK, WITHDRAW, PUT_BACK,
];
