//! Addresses of the pages about mail.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Where a member says where they may be written to.
pub const MAIL: Route = Route::get("/settings/mail", Action::TakePart);
/// Keeps an address.
pub const GIVE: Route = Route::post("/settings/mail", Action::TakePart);
/// Begins or ends reminders.
pub const REMINDERS: Route = Route::post("/settings/mail/reminders", Action::TakePart);
/// Forgets the address.
pub const REMOVE: Route = Route::post("/settings/mail/remove", Action::TakePart);
/// Asks whether an address is somebody's, behind the link of a letter.
pub const CONFIRM: Route = Route::get("/mail/confirm/{token}", Action::Visit);
/// Confirms it.
pub const DO_CONFIRM: Route = Route::post("/mail/confirm/{token}", Action::Visit);
/// Asks whether reminders are to stop, behind the link of each.
pub const STOP: Route = Route::get("/mail/stop/{token}", Action::Visit);
/// Stops them.
pub const DO_STOP: Route = Route::post("/mail/stop/{token}", Action::Visit);
/// Asks whose password is forgotten.
pub const FORGOTTEN: Route = Route::get("/forgotten-password", Action::Visit);
/// Sends a link for a new one.
pub const SEND_RESET: Route = Route::post("/forgotten-password", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[
    MAIL, GIVE, REMINDERS, REMOVE, CONFIRM, DO_CONFIRM, STOP, DO_STOP, FORGOTTEN, SEND_RESET,
];
