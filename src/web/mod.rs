//! What all pages share: viewer, policy, errors, forms, once keys, shell, units.

pub mod shell;
pub mod policy;
pub mod viewer;
pub mod units;
