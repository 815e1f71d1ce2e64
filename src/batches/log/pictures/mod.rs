//! Pictures beside notes: made anew by the server, small, and without what a camera writes into them.

pub mod pages;
mod shrink;
pub mod store;

pub use shrink::{Fault, Shrunk, shrink};

/// The largest file that is taken, bytes.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;
/// What a browser may wrap around it, and how far a file may be too large and still be told so beside its field.
pub const WRAPPING: usize = 8 * 1024 * 1024;
/// The longest text that stands for a picture, in characters.
pub const SAYS_MAX: usize = 300;

/// The text that stands for a picture: the note beside it, on one line.
pub fn says(note: &str) -> String {
    let words: Vec<&str> = note.split_whitespace().collect();
    words.join(" ").chars().take(SAYS_MAX).collect()
}
