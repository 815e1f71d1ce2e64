//! Any bytes as calendar files.
#![no_main]

#[path = "../checks/calendars.rs"]
mod calendars;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| calendars::check(bytes));
