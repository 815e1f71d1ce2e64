//! Addresses of the second step.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// What a member has for the second step, and what they may set up.
pub const SECOND_STEP: Route = Route::get("/second-step", Action::TakePart);
/// The picture and the key of an app that is being set up.
pub const APP: Route = Route::get("/second-step/app", Action::TakePart);
/// Draws the key.
pub const BEGIN_APP: Route = Route::post("/second-step/app", Action::TakePart);
/// Takes it into use, by its first code.
pub const CONFIRM_APP: Route = Route::post("/second-step/app/confirm", Action::TakePart);
/// Removes the app.
pub const REMOVE_APP: Route = Route::post("/second-step/app/remove", Action::TakePart);
/// Makes new recovery codes and shows them.
pub const RECOVERY_CODES: Route = Route::post("/second-step/recovery-codes", Action::TakePart);
/// Asks the device for a new passkey.
pub const MAKE_PASSKEY: Route = Route::post("/second-step/passkeys", Action::TakePart);
/// Keeps what it answered with.
pub const KEEP_PASSKEY: Route = Route::post("/second-step/passkeys/keep", Action::TakePart);
/// Gives a passkey another name.
pub const RENAME_PASSKEY: Route = Route::post("/second-step/passkeys/{id}/name", Action::TakePart);
/// Removes a passkey.
pub const REMOVE_PASSKEY: Route =
    Route::post("/second-step/passkeys/{id}/remove", Action::TakePart);

/// Where a sign-in asks for the second step.
pub const STEP: Route = Route::get("/sign-in/step", Action::Visit);
/// Takes it.
pub const DO_STEP: Route = Route::post("/sign-in/step", Action::Visit);
/// Where a member proves once more who they are.
pub const AGAIN: Route = Route::get("/sign-in/again", Action::TakePart);
/// Asks any device for a passkey.
pub const ASK_FOR_PASSKEY: Route = Route::post("/sign-in/passkey", Action::Visit);
/// Signs in by what it answered with.
pub const SIGN_IN_BY_PASSKEY: Route = Route::post("/sign-in/passkey/answer", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[
    SECOND_STEP,
    APP,
    BEGIN_APP,
    CONFIRM_APP,
    REMOVE_APP,
    RECOVERY_CODES,
    MAKE_PASSKEY,
    KEEP_PASSKEY,
    RENAME_PASSKEY,
    REMOVE_PASSKEY,
    STEP,
    DO_STEP,
    AGAIN,
    ASK_FOR_PASSKEY,
    SIGN_IN_BY_PASSKEY,
];
