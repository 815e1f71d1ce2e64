//! What all pages share: viewer, policy, errors, forms, once keys, shell, units.

pub mod policy;
pub mod shell;
pub mod units;
pub mod viewer;
