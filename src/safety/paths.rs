//! Addresses of the pages on safety.

use super::places::Place;
use crate::web::paths::Route;
use crate::web::policy::Action;

/// All subjects, what can hurt tonight first.
pub const INDEX: Route = Route::get("/safety", Action::Visit);
/// A sheet to hang up where the work is done.
pub const SHEET: Route = Route::get("/safety/sheet", Action::Visit);
/// One subject.
pub const SUBJECT: Route = Route::get("/safety/{subject}", Action::Visit);

/// All of them.
pub const ROUTES: &[Route] = &[INDEX, SHEET, SUBJECT];

/// The page of a subject, below the base.
pub fn subject(key: &str) -> String {
    SUBJECT.with(&[key])
}

/// A section of a page, below the base.
pub fn section(key: &str, anchor: &str) -> String {
    format!("{}#{anchor}", subject(key))
}

impl Place {
    /// Where the place is, below the base.
    pub fn path(self) -> String {
        section(self.subject, self.section)
    }
}
