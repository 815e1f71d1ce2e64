//! Pictures beside notes: made anew by the server, small, and without what a camera writes into them.

pub mod pages;
mod shrink;
pub mod store;

pub use shrink::{Fault, Shrunk, shrink};

/// The largest file that is taken, bytes.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;
/// Of a form with a file so much is looked at, bytes: what a browser wraps around it, and a file that is somewhat too large.
pub const MOST_FORM: usize = 16 * 1024 * 1024;
/// The most pictures of one member's batches, together some hundred megabytes.
pub const MOST_OF_ONE: i64 = 2_000;
/// The longest text that stands for a picture, in characters.
pub const SAYS_MAX: usize = 300;

/// The text that stands for a picture: the note beside it, on one line.
pub fn says(note: &str) -> String {
    let words: Vec<&str> = note.split_whitespace().collect();
    words.join(" ").chars().take(SAYS_MAX).collect()
}
