//! Addresses of batches.

use crate::web::paths::Route;
use crate::web::policy::Action;

/// One's own that are going, those that are done, and the club's.
pub const LIST: Route = Route::get("/batches", Action::TakePart);
/// The form that starts one: of a recipe, made to fit or as it is.
pub const NEW: Route = Route::get("/batches/new", Action::TakePart);
/// Starts it.
pub const CREATE: Route = Route::post("/batches/new", Action::TakePart);
/// The form for a mead that is going already, of which nothing was written down.
pub const GOING: Route = Route::get("/batches/going", Action::TakePart);
/// Takes that in.
pub const TAKE_IN: Route = Route::post("/batches/going", Action::TakePart);
/// The sheet of a batch.
pub const BATCH: Route = Route::get("/batches/{id}", Action::See);
/// The page on which is logged.
pub const LOG: Route = Route::get("/batches/{id}/log", Action::Change);
/// Logs a reading.
pub const READ: Route = Route::post("/batches/{id}/log", Action::Change);
/// The form for one kind of entry: what was fed, added, racked, tasted …
pub const DEED: Route = Route::get("/batches/{id}/log/{kind}", Action::Change);
/// Logs it.
pub const WRITE: Route = Route::post("/batches/{id}/log/{kind}", Action::Change);
/// The form for a note, with a picture if there is one.
pub const NOTE: Route = Route::get("/batches/{id}/log/note", Action::Change);
/// Logs that.
pub const WRITE_NOTE: Route = Route::post("/batches/{id}/log/note", Action::Change);
/// An entry with all its versions; its maker corrects it there.
pub const ENTRY: Route = Route::get("/batches/{id}/log/entry/{entry}", Action::See);
/// Writes a further version of it.
pub const CORRECT: Route = Route::post("/batches/{id}/log/entry/{entry}", Action::Change);
/// Takes an entry out of what counts, by a further version.
pub const STRIKE: Route = Route::post("/batches/{id}/log/entry/{entry}/out", Action::Change);
/// Lets it count again, by one more.
pub const RESTORE: Route = Route::post("/batches/{id}/log/entry/{entry}/in", Action::Change);
/// A batch that was ended goes on.
pub const GO_ON: Route = Route::post("/batches/{id}/go-on", Action::Change);
/// A picture.
pub const PICTURE: Route = Route::get("/batches/{id}/pictures/{picture}", Action::See);
/// Removes it.
pub const REMOVE_PICTURE: Route =
    Route::post("/batches/{id}/pictures/{picture}/remove", Action::Change);
/// Its name and who sees it.
pub const ABOUT: Route = Route::get("/batches/{id}/about", Action::Change);
/// Changes those.
pub const SAVE_ABOUT: Route = Route::post("/batches/{id}/about", Action::Change);
/// Into the bin.
pub const BIN: Route = Route::post("/batches/{id}/bin", Action::Change);
/// Out of the bin.
pub const UNBIN: Route = Route::post("/batches/{id}/unbin", Action::Change);

// The plan.
/// All steps, with boxes to tick on paper.
pub const PLAN: Route = Route::get("/batches/{id}/plan", Action::See);
/// One step: why, how much, with what care, and what becomes of it.
pub const STEP: Route = Route::get("/batches/{id}/plan/{step}", Action::Change);
/// It is done; what it says goes into the log.
pub const STEP_DONE: Route = Route::post("/batches/{id}/plan/{step}/done", Action::Change);
/// It is left out, for a reason.
pub const STEP_LEFT_OUT: Route = Route::post("/batches/{id}/plan/{step}/left-out", Action::Change);
/// It is for another day.
pub const STEP_MOVED: Route = Route::post("/batches/{id}/plan/{step}/another-day", Action::Change);
/// What was said of it last is taken back.
pub const STEP_TAKEN_BACK: Route =
    Route::post("/batches/{id}/plan/{step}/taken-back", Action::Change);
/// What a member's batches want, for their calendar: the name of the file is a token.
pub const CALENDAR: Route = Route::get("/calendar/{file}", Action::Visit);
// When something seems wrong.
/// What one may see, smell or taste, for everybody.
pub const TROUBLES: Route = Route::get("/trouble", Action::Visit);
/// One of them, without a batch: everything is asked.
pub const TROUBLE_OF: Route = Route::get("/trouble/{symptom}", Action::Visit);
/// The same for a batch, whose log answers what it can.
pub const TROUBLE: Route = Route::get("/batches/{id}/trouble", Action::See);
/// One of them.
pub const SYMPTOM: Route = Route::get("/batches/{id}/trouble/{symptom}", Action::See);

// A log to take along.
/// As a table.
pub const LOG_CSV: Route = Route::get("/batches/{id}/log.csv", Action::See);
/// As it is kept.
pub const LOG_JSON: Route = Route::get("/batches/{id}/log.json", Action::See);

// Side by side.
/// Several batches in one table and one picture.
pub const COMPARE: Route = Route::get("/batches/compare", Action::TakePart);

// Refining series.
/// A member's own.
pub const ALL_SERIES: Route = Route::get("/series", Action::TakePart);
/// The form for a new one.
pub const NEW_SERIES: Route = Route::get("/series/new", Action::TakePart);
/// Makes it.
pub const MAKE_SERIES: Route = Route::post("/series/new", Action::TakePart);
/// One with its batches.
pub const SERIES: Route = Route::get("/series/{id}", Action::See);
/// Its name and aim.
pub const SERIES_ABOUT: Route = Route::get("/series/{id}/about", Action::Change);
/// Changes those.
pub const SAVE_SERIES: Route = Route::post("/series/{id}/about", Action::Change);
/// Asks whether it is to be deleted.
pub const DELETE_SERIES: Route = Route::get("/series/{id}/delete", Action::Change);
/// Deletes it; its batches stay.
pub const SERIES_DELETED: Route = Route::post("/series/{id}/delete", Action::Change);
/// The form that puts a batch into one.
pub const INTO_SERIES: Route = Route::get("/batches/{id}/series", Action::See);
/// Puts it in.
pub const PUT_INTO_SERIES: Route = Route::post("/batches/{id}/series", Action::See);
/// What is said of a batch in one.
pub const SERIES_STEP: Route = Route::get("/series/{id}/batches/{batch}", Action::Change);
/// Changes that.
pub const SAVE_SERIES_STEP: Route = Route::post("/series/{id}/batches/{batch}", Action::Change);
/// Moves it one place up or down.
pub const MOVE_SERIES_STEP: Route =
    Route::post("/series/{id}/batches/{batch}/move", Action::Change);
/// Takes it out.
pub const TAKE_SERIES_STEP_OUT: Route =
    Route::post("/series/{id}/batches/{batch}/out", Action::Change);

// The club's own figures.
/// Beside those of the book.
pub const FIGURES: Route = Route::get("/club/figures", Action::TakePart);

// Finishing: the last third, from “is it finished?” to what is ready to be filled.
/// All of it in order, and where each stands by the log.
pub const FINISHING: Route = Route::get("/batches/{id}/finishing", Action::Change);
/// Whether it is finished, and what is missing.
pub const FINISHED: Route = Route::get("/batches/{id}/finishing/finished", Action::Change);
/// Goes on all the same, for a reason.
pub const GO_ON_UNFINISHED: Route = Route::post("/batches/{id}/finishing/finished", Action::Change);
/// Sulfite and sorbate.
pub const STABILISE: Route = Route::get("/batches/{id}/finishing/stabilise", Action::Change);
/// Writes down what went in.
pub const STABILISED: Route = Route::post("/batches/{id}/finishing/stabilise", Action::Change);
/// How much sweetens it.
pub const SWEETEN: Route = Route::get("/batches/{id}/finishing/sweeten", Action::Change);
/// Writes down what went in.
pub const SWEETENED: Route = Route::post("/batches/{id}/finishing/sweeten", Action::Change);
/// Acid, and what takes it away.
pub const SOUR: Route = Route::get("/batches/{id}/finishing/acid", Action::Change);
/// Writes down what went in.
pub const SOURED: Route = Route::post("/batches/{id}/finishing/acid", Action::Change);
/// Tannin, fining, wood, spice.
pub const FLAVOUR: Route = Route::get("/batches/{id}/finishing/clearing-and-taste", Action::Change);
/// Writes down what went in.
pub const FLAVOURED: Route =
    Route::post("/batches/{id}/finishing/clearing-and-taste", Action::Change);
/// Glasses on the bench, and the form for new ones.
pub const TRIALS: Route = Route::get("/batches/{id}/finishing/trials", Action::Change);
/// Sets them up.
pub const MAKE_TRIAL: Route = Route::post("/batches/{id}/finishing/trials", Action::Change);
/// One trial: what is in which glass, which was liked, and the dose for all of it.
pub const TRIAL: Route = Route::get("/batches/{id}/finishing/trials/{trial}", Action::Change);
/// Says which glass was liked.
pub const CHOOSE_GLASS: Route =
    Route::post("/batches/{id}/finishing/trials/{trial}", Action::Change);
/// Writes down what of it went into the batch.
pub const GIVE_AS_TRIED: Route = Route::post(
    "/batches/{id}/finishing/trials/{trial}/dose",
    Action::Change,
);
/// The sheet for those who taste.
pub const TRIAL_SHEET: Route = Route::get(
    "/batches/{id}/finishing/trials/{trial}/sheet",
    Action::Change,
);

// Parting.
/// The form that parts a batch.
pub const PARTS: Route = Route::get("/batches/{id}/parts", Action::Change);
/// Parts it.
pub const PART: Route = Route::post("/batches/{id}/parts", Action::Change);
/// The form that fills a batch up from another.
pub const TOP_UP: Route = Route::get("/batches/{id}/top-up", Action::Change);
/// Fills it up.
pub const FILL_UP: Route = Route::post("/batches/{id}/top-up", Action::Change);
// Split trials.
/// The trial of a batch's parts: its question, its day, its codes.
pub const SPLIT_TRIAL: Route = Route::get("/batches/{id}/trial", Action::Change);
/// Sets question and day.
pub const SET_SPLIT_TRIAL: Route = Route::post("/batches/{id}/trial", Action::Change);
/// Opens the tasting of it, once its day has come.
pub const OPEN_SPLIT_TRIAL: Route = Route::post("/batches/{id}/trial/open", Action::Change);
/// Calls it off.
pub const CALL_SPLIT_TRIAL_OFF: Route = Route::post("/batches/{id}/trial/off", Action::Change);
// Deciding the next one.
/// What tasters said, what can be mended, and one change for the next revision.
pub const NEXT: Route = Route::get("/batches/{id}/next", Action::Change);
/// Puts chosen changes into a draft of that.
pub const NEXT_DRAFT: Route = Route::post("/batches/{id}/next", Action::Change);
// Blending.
/// The form that blends a batch with others.
pub const BLEND: Route = Route::get("/batches/{id}/blend", Action::Change);
/// Shows what it would come to, and works amounts out.
pub const BLEND_LOOK: Route = Route::post("/batches/{id}/blend/look", Action::Change);
/// Pours them together.
pub const BLEND_POUR: Route = Route::post("/batches/{id}/blend", Action::Change);
// A table of readings.
/// The page that takes a table in.
pub const IMPORT: Route = Route::get("/batches/{id}/import", Action::Change);
/// Shows its rows as they would be read.
pub const LOOK: Route = Route::post("/batches/{id}/import", Action::Change);
/// The same of a file.
pub const LOOK_AT_FILE: Route = Route::post("/batches/{id}/import/file", Action::Change);
/// Writes them.
pub const TAKE_ROWS: Route = Route::post("/batches/{id}/import/rows", Action::Change);
// Sensors.
/// The sensors of a batch.
pub const SENSORS: Route = Route::get("/batches/{id}/sensors", Action::Change);
/// Makes one.
pub const MAKE_SENSOR: Route = Route::post("/batches/{id}/sensors", Action::Change);
/// Shows what would be read of an example.
pub const TRY_SENSOR: Route = Route::post("/batches/{id}/sensors/try", Action::Change);
/// What one is called and what it calls things, to be changed.
pub const EDIT_SENSOR: Route = Route::get("/batches/{id}/sensors/{sensor}", Action::Change);
/// Saves it.
pub const SAVE_SENSOR: Route = Route::post("/batches/{id}/sensors/{sensor}", Action::Change);
/// Shows what would be read of an example by its changed names.
pub const TRY_CHANGE: Route = Route::post("/batches/{id}/sensors/{sensor}/try", Action::Change);
/// Takes one back.
pub const END_SENSOR: Route = Route::post("/batches/{id}/sensors/{sensor}/end", Action::Change);

/// All of them.
pub const ROUTES: &[Route] = &[
    FINISHING,
    FINISHED,
    GO_ON_UNFINISHED,
    STABILISE,
    STABILISED,
    SWEETEN,
    SWEETENED,
    SOUR,
    SOURED,
    FLAVOUR,
    FLAVOURED,
    TRIALS,
    MAKE_TRIAL,
    TRIAL,
    CHOOSE_GLASS,
    GIVE_AS_TRIED,
    TRIAL_SHEET,
    IMPORT,
    LOOK,
    LOOK_AT_FILE,
    TAKE_ROWS,
    PARTS,
    PART,
    TOP_UP,
    FILL_UP,
    SPLIT_TRIAL,
    SET_SPLIT_TRIAL,
    OPEN_SPLIT_TRIAL,
    CALL_SPLIT_TRIAL_OFF,
    NEXT,
    NEXT_DRAFT,
    BLEND,
    BLEND_LOOK,
    BLEND_POUR,
    SENSORS,
    MAKE_SENSOR,
    TRY_SENSOR,
    EDIT_SENSOR,
    SAVE_SENSOR,
    TRY_CHANGE,
    END_SENSOR,
    LIST,
    NEW,
    CREATE,
    GOING,
    TAKE_IN,
    BATCH,
    LOG,
    READ,
    DEED,
    WRITE,
    NOTE,
    WRITE_NOTE,
    ENTRY,
    CORRECT,
    STRIKE,
    RESTORE,
    GO_ON,
    PICTURE,
    REMOVE_PICTURE,
    ABOUT,
    SAVE_ABOUT,
    BIN,
    UNBIN,
    PLAN,
    STEP,
    STEP_DONE,
    STEP_LEFT_OUT,
    STEP_MOVED,
    STEP_TAKEN_BACK,
    CALENDAR,
    // When something seems wrong.
    TROUBLES,
    TROUBLE_OF,
    TROUBLE,
    SYMPTOM,
    // A log to take along.
    LOG_CSV,
    LOG_JSON,
    // Side by side.
    COMPARE,
    // Refining series.
    ALL_SERIES,
    NEW_SERIES,
    MAKE_SERIES,
    SERIES,
    SERIES_ABOUT,
    SAVE_SERIES,
    DELETE_SERIES,
    SERIES_DELETED,
    INTO_SERIES,
    PUT_INTO_SERIES,
    SERIES_STEP,
    SAVE_SERIES_STEP,
    MOVE_SERIES_STEP,
    TAKE_SERIES_STEP_OUT,
    // The club's own figures.
    FIGURES,
];
