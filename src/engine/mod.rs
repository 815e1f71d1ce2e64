//! The formulation engine: pure functions from a recipe document to all its numbers. No I/O, no clock, no randomness, no panics.
