//! Labels for bottles: what they say, and how they fit on a sheet.

pub mod model;
pub mod pages;
pub mod paths;
pub mod sheets;
