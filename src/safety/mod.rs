//! What can hurt somebody, in our own words: one page per subject, open to everybody, and where each caution leads.

mod figures;
pub mod model;
pub mod pages;
pub mod paths;
mod places;
mod subjects;
mod tables;

pub use model::{Group, Section, Subject};
pub use places::{Place, place_of};
pub use subjects::{find, subjects};
