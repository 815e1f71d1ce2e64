//! What only a keeper does for the club.

mod backups;
mod club;
mod contents;
mod health;
mod invites;
pub mod metrics;
pub mod pages;
pub mod paths;
mod roll;
mod second;
pub mod store;
mod working;
