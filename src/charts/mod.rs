//! SVG pictures drawn from plain numbers.

pub mod ladder;
