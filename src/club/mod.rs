//! The club's own page: who belongs to it, what it says of itself, and what it has going.

pub mod pages;
pub mod paths;
