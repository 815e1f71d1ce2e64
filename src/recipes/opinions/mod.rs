//! What members think of a recipe: ratings, and comments below them.

pub mod comments;
mod forms;
pub mod model;
pub mod pages;
pub mod paths;
pub mod score;
pub(super) mod shown;
pub mod store;
