//! Any bytes as numbers and quantities as typed.
#![no_main]

#[path = "../checks/numbers.rs"]
mod numbers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| numbers::check(bytes));
