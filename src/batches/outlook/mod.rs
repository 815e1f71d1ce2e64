//! The outlook of a batch: from its log to the engine's forecast, and that in words and as a picture.

mod course;
mod dates;
pub mod known;
mod picture;
pub mod store;
pub mod words;

pub use course::{Sight, has_own_prior, sight};
pub use words::OutlookPart;
