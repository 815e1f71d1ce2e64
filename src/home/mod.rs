//! The page one meets first.
