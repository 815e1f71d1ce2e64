//! Tasting tests: in which order glasses are poured, how they are coded, and what the answers say.

pub mod orders;
pub mod ranking;
pub(in crate::engine) mod shuffle;
