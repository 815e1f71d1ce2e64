//! Filling a batch: still, primed or into a keg; what that takes, and the bottles that come of it.

mod asked;
pub mod pages;
pub mod paths;
mod proposed;
mod words;
mod writing;
