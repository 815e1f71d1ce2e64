//! The cupboard: what a member has of ingredients, what it cost, and how long it keeps.

pub mod amount;
pub mod forms;
pub mod model;
pub mod pages;
pub mod paths;
pub mod stock;
pub mod store;
mod view;
