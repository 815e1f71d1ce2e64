//! Any bytes as text in markdown.
#![no_main]

#[path = "../checks/formatted.rs"]
mod formatted;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| formatted::check(bytes));
