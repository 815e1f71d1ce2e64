//! What only a keeper does for the club.

mod invites;
pub mod pages;
pub mod paths;
mod roll;
