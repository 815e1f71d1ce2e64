//! Seats: whoever tastes, with their glasses and what they say.

pub mod store;
