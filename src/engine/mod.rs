//! The formulation engine: pure functions from a recipe document to all its numbers. No I/O, no clock, no randomness, no panics.

pub mod alcohol;
pub mod balance;
pub mod density;
pub mod hydrometer;
pub mod mixture;
pub mod numeric;
pub mod units;
