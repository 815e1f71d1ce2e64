//! Addresses of the cellar, and of what stands on a label.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// A member's own bottles.
pub const CELLAR: Route = Route::get("/cellar", Action::TakePart);
/// The bottles of one size of one filling.
pub const LOT: Route = Route::get("/cellar/{lot}", Action::Change);
/// Takes some out.
pub const TAKE: Route = Route::post("/cellar/{lot}/take", Action::Change);
/// Where they lie, and how many are kept back.
pub const KEEP: Route = Route::post("/cellar/{lot}/keep", Action::Change);
/// It was a slip: they are there again.
pub const PUT_BACK: Route = Route::post("/cellar/{lot}/taken/{taken}/back", Action::Change);
/// What a label leads to.
pub const BOTTLE: Route = Route::get("/b/{code}", Action::Visit);
/// It is opened, and this is what it tastes like.
pub const OPEN: Route = Route::post("/b/{code}", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[CELLAR, LOT, TAKE, KEEP, PUT_BACK, BOTTLE, OPEN];
