//! Any bytes as recipe documents.
#![no_main]

#[path = "../checks/recipes.rs"]
mod recipes;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| recipes::check(bytes));
