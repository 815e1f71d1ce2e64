//! One-time links: the set-up of the first keeper, and new passwords.

pub mod store;
