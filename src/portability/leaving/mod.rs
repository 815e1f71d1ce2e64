//! Leaving the club, coming back within thirty days, and what goes after them.

pub mod daily;
pub mod pages;
pub mod store;

/// So long whoever left can be let in again, and so long the bin keeps what lies in it.
pub const KEPT_DAYS: i64 = 30;
