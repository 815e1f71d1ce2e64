//! Members: set-up of the keeper, invites, sign-in, sessions, tokens, passwords, settings.

pub mod carried;
pub mod cookie;
pub mod forms;
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
pub mod roll;
pub mod sessions;
mod settings;
pub mod store;
pub mod strength;
pub mod throttle;
pub mod tokens;
