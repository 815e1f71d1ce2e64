//! Members: set-up of the keeper, invites, sign-in and its second step, sessions, tokens, passwords, settings.

pub mod carried;
pub mod cookie;
pub mod forms;
mod guesses;
pub mod invites;
mod joining;
pub mod links;
pub mod mentors;
pub mod middleware;
pub mod model;
pub mod names;
pub mod pages;
pub mod passwords;
pub mod paths;
pub mod proven;
pub mod roll;
pub mod second;
pub mod sessions;
mod settings;
mod sign_in;
pub mod store;
pub mod strength;
pub mod throttle;
pub mod tokens;
