//! Mentors: who offers to be asked, and whom a newcomer may ask.

pub mod pages;
pub mod store;

/// So long somebody counts as a newcomer, in days (our judgement: a first mead takes about that long to the bottle).
pub const NEW_DAYS: i64 = 90;
