//! The page one meets first.

mod due;
mod news;
pub mod pages;
pub mod paths;
