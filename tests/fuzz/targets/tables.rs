//! Any bytes as tables of readings.
#![no_main]

#[path = "../checks/tables.rs"]
mod tables;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| tables::check(bytes));
