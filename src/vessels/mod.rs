//! What members ferment, age and measure in and with, each with its true figures; and what the club lends.

pub mod forms;
pub mod instruments;
pub mod lending;
pub mod model;
pub mod pages;
pub mod paths;
pub mod store;
mod words;

pub use model::{MadeOf, Vessel};
