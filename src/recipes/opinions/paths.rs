//! Addresses of what members think of recipes.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// Who said what, how it is reckoned, and all comments.
pub const OPINIONS: Route = Route::get("/recipes/{id}/opinions", Action::See);
/// Rates a recipe, or changes one's rating.
pub const RATE: Route = Route::post("/recipes/{id}/opinions/rating", Action::See);
/// Takes one's rating back.
pub const TAKE_BACK: Route = Route::post("/recipes/{id}/opinions/rating/take-back", Action::See);
/// Writes a comment.
pub const COMMENT: Route = Route::post("/recipes/{id}/comments", Action::See);
/// The words of one's own comment, to be changed.
pub const EDIT: Route = Route::get("/recipes/{id}/comments/{comment}/edit", Action::See);
/// Saves them.
pub const SAVE: Route = Route::post("/recipes/{id}/comments/{comment}/edit", Action::See);
/// Everything that a comment ever said.
pub const EARLIER: Route = Route::get("/recipes/{id}/comments/{comment}/earlier", Action::See);
/// Takes a comment's words away; its place stays.
pub const REMOVE: Route = Route::post("/recipes/{id}/comments/{comment}/remove", Action::See);

/// All of them.
pub const ROUTES: &[Route] = &[
    OPINIONS, RATE, TAKE_BACK, COMMENT, EDIT, SAVE, EARLIER, REMOVE,
];
