//! Single calculations as pages, for everybody: each described as data, all drawn by one template.

pub mod case;
mod fields;
pub mod forms;
mod listed;
pub mod model;
pub mod pages;
pub mod paths;
mod view;
mod words;

pub use listed::{ALL, find};
