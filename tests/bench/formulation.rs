//! Timings of the formulation engine.

fn main() {}
