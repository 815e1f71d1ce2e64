//! What only a keeper does for the club.

mod club;
mod contents;
mod health;
mod invites;
pub mod pages;
pub mod paths;
mod roll;
mod second;
pub mod store;
