//! SVG pictures drawn from plain numbers.

pub mod graph;
pub mod ladder;
pub mod spacing;
pub mod words;
