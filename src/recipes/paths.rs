//! Addresses of recipes.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// The list, with search.
pub const LIST: Route = Route::get("/recipes", Action::TakePart);
/// The workbench of a new recipe, perhaps started from another.
pub const NEW: Route = Route::get("/recipes/new", Action::TakePart);
/// Saves a new recipe.
pub const CREATE: Route = Route::post("/recipes/new", Action::TakePart);
/// Recalculates what is typed, adds and removes rows, keeps the draft; saves no revision.
pub const RECALCULATE: Route = Route::post("/recipes/workbench", Action::TakePart);
/// The sheet of the newest revision.
pub const SHEET: Route = Route::get("/recipes/{id}", Action::See);
/// The workbench of a recipe of one's own.
pub const EDIT: Route = Route::get("/recipes/{id}/edit", Action::Change);
/// Saves the next revision.
pub const SAVE: Route = Route::post("/recipes/{id}/edit", Action::Change);
/// All revisions.
pub const REVISIONS: Route = Route::get("/recipes/{id}/revisions", Action::See);
/// The sheet of one revision.
pub const REVISION: Route = Route::get("/recipes/{id}/revisions/{number}", Action::See);
/// How one number of a recipe is reckoned.
pub const NUMBER: Route = Route::get("/recipes/{id}/numbers/{name}", Action::See);
/// What to buy and to have ready for a recipe.
pub const SHOPPING: Route = Route::get("/recipes/{id}/shopping", Action::See);
/// How all numbers are reckoned, without a recipe.
pub const METHODS: Route = Route::get("/methods", Action::Visit);
/// What leads from another revision, of this recipe or of another, to this one, and what each change does.
pub const CHANGES: Route = Route::get("/recipes/{id}/revisions/{number}/changes", Action::See);
/// Makes an old revision the newest again.
pub const RESTORE: Route = Route::post("/recipes/{id}/revisions/{number}/restore", Action::Change);
/// Who may see it.
pub const SHARE: Route = Route::post("/recipes/{id}/share", Action::Change);
/// The links to a recipe of one's own.
pub const LINKS: Route = Route::get("/recipes/{id}/links", Action::Change);
/// Makes one more.
pub const MAKE_LINK: Route = Route::post("/recipes/{id}/links", Action::Change);
/// What whoever opens a link is told.
pub const LINK_TERMS: Route = Route::post("/recipes/{id}/links/terms", Action::Change);
/// Takes a link back.
pub const TAKE_LINK_BACK: Route =
    Route::post("/recipes/{id}/links/{link}/take-back", Action::Change);
/// A recipe as its link opens it, for anybody who holds that.
pub const SHARED: Route = Route::get("/shared/{token}", Action::Visit);
/// What it was started from and what was started from it, across members.
pub const LINEAGE: Route = Route::get("/recipes/{id}/lineage", Action::See);
/// What to compare it with.
pub const COMPARE: Route = Route::get("/recipes/{id}/compare", Action::See);
/// Into the bin.
pub const BIN: Route = Route::post("/recipes/{id}/bin", Action::Change);
/// Out of the bin.
pub const UNBIN: Route = Route::post("/recipes/{id}/unbin", Action::Change);
/// What could stand in the place of something that is in it, and what that does; nothing is saved.
pub const SWAP: Route = Route::get("/recipes/{id}/swap", Action::See);
/// Made to fit one's own vessels, or the bottles wanted: how much must, weighed out, with what it costs.
pub const SCALE: Route = Route::get("/recipes/{id}/scale", Action::See);
/// What was made to fit, in the workbench as a recipe of one's own.
pub const SCALE_OPEN: Route = Route::get("/recipes/{id}/scale/workbench", Action::See);
/// The same for what is being typed.
pub const SWAP_DRAFT: Route = Route::get("/drafts/{draft}/swap", Action::TakePart);
/// The workbench as it was left.
pub const DRAFT: Route = Route::get("/drafts/{draft}", Action::TakePart);
/// Throws a draft away.
pub const DISCARD: Route = Route::post("/drafts/{draft}/discard", Action::TakePart);
/// The book's starter recipes: nobody's, so anybody may read them.
pub const STARTERS: Route = Route::get("/starters", Action::Visit);
/// One of them, in one of its sizes.
pub const STARTER: Route = Route::get("/starters/{key}", Action::Visit);
/// Puts a draft back that was thrown away.
pub const PUT_DRAFT_BACK: Route = Route::post("/drafts/{draft}/put-back", Action::TakePart);
/// A mead for a day, planned backwards: nobody's, so anybody may ask.
pub const FOR_A_DAY: Route = Route::get("/for-a-day", Action::Visit);
/// A recipe written out as a document.
pub const DOCUMENT: Route = Route::get("/recipes/{id}/document.json", Action::See);
/// The form that brings recipes in.
pub const IMPORT: Route = Route::get("/recipes/import", Action::TakePart);
/// Brings in what was pasted.
pub const TAKE_TEXT: Route = Route::post("/recipes/import", Action::TakePart);
/// Brings in what stands in a file.
pub const TAKE_FILE: Route = Route::post("/recipes/import/file", Action::TakePart);
/// What was planned, in the workbench.
pub const FOR_A_DAY_OPEN: Route = Route::get("/for-a-day/workbench", Action::TakePart);

/// All of them.
pub const ROUTES: &[Route] = &[
    LIST,
    NEW,
    CREATE,
    RECALCULATE,
    SHEET,
    EDIT,
    SAVE,
    REVISIONS,
    REVISION,
    NUMBER,
    SWAP,
    SCALE,
    SCALE_OPEN,
    SWAP_DRAFT,
    SHOPPING,
    METHODS,
    CHANGES,
    RESTORE,
    SHARE,
    LINKS,
    MAKE_LINK,
    LINK_TERMS,
    TAKE_LINK_BACK,
    SHARED,
    LINEAGE,
    COMPARE,
    BIN,
    UNBIN,
    DRAFT,
    DISCARD,
    STARTERS,
    STARTER,
    PUT_DRAFT_BACK,
    FOR_A_DAY,
    FOR_A_DAY_OPEN,
    DOCUMENT,
    IMPORT,
    TAKE_TEXT,
    TAKE_FILE,
];
