//! The honey shelf: jars of the members and of the club, what each measured, and who took from it.

pub mod forms;
pub mod model;
pub mod pages;
pub mod paths;
pub mod store;
pub mod view;

use crate::catalogue;
use crate::catalogue::jars;

/// The page of what can be picked, below the base: a jar's on the shelf, else the catalogue's.
pub fn page_of(key: &str) -> String {
    match jars::id_of(key) {
        Some(id) => paths::JAR.with(&[id]),
        None => catalogue::paths::ENTRY.with(&[key]),
    }
}
