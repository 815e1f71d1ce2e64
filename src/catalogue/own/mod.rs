//! The club's own entries: what they say, how they are written, kept and read back, with all their history.

mod changes;
pub mod document;
mod fields;
pub mod form;
mod remembered;
pub mod store;

pub use changes::{Change, changes};
pub use document::{Document, Sort, Thing};
pub use fields::{Field, Part, Says, parts};
pub use remembered::Remembered;

/// What the keys of own entries begin with, so that no built-in key is ever one of them.
pub const KEY_PREFIX: &str = "club-";
