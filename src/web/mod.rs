//! What all pages share: viewer, policy, errors, forms, once keys, shell, units.

pub mod answers;
pub mod assets;
pub mod calendar;
pub mod clock;
pub mod data_block;
pub mod dates;
pub mod day;
pub mod error;
pub mod flow;
pub mod form;
pub mod grant;
pub mod guards;
pub mod headers;
pub mod legible;
pub mod listen;
pub mod markdown;
pub mod money;
pub mod once;
pub mod pages;
pub mod paths;
pub mod policy;
pub mod random;
pub mod shell;
pub mod site;
pub mod socket;
mod store;
pub mod typed;
mod unbroken;
pub mod units;
pub mod upload;
pub mod viewer;
pub mod words;

pub use error::Error;
pub use form::{FormState, Posted};
pub use pages::Answer;
pub use viewer::{Member, MemberId, Role, Viewer};
