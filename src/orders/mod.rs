//! Honey ordered together: what members' planned batches need, added up, with who pays what.

mod adding;
pub mod forms;
pub mod model;
mod opener;
pub mod pages;
pub mod paths;
pub mod share;
pub mod store;
pub mod view;
