//! SVG pictures drawn from plain numbers.

pub mod columns;
mod drawing;
pub mod forecast;
pub mod graph;
pub mod ladder;
pub mod overlay;
pub mod spacing;
pub mod words;
