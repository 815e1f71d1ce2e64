//! SVG pictures drawn from plain numbers.
