//! What all pages share: viewer, policy, errors, forms, once keys, shell, units.

pub mod units;
