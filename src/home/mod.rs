//! The page one meets first.

pub mod pages;
pub mod paths;
