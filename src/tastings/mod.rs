//! Tastings: one mead over time, several at once with guests, and whether anybody can tell two of them apart.

pub mod aged;
pub mod forms;
mod guests;
pub mod links;
pub mod model;
pub mod pages;
mod paper;
pub mod paths;
pub mod poured;
mod removing;
pub mod results;
pub mod seats;
mod shown;
pub mod store;
mod taking;
mod verdict;
