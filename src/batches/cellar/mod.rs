//! The cellar: what is left of each filling, where it lies, from when it is good, and who drank the rest.

mod following;
mod forms;
pub mod model;
mod opening;
pub mod pages;
pub mod paths;
pub mod store;
mod view;

pub use following::{days, follow};
pub use view::{LotRow, bottles};
