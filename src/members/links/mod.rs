//! One-time links: the set-up of the first keeper, and new passwords.

pub mod store;

use crate::web::viewer::MemberId;

/// Whose password a link renews.
pub struct Renewal {
    pub id: MemberId,
    pub name: String,
    /// Whether it takes the second step away too.
    pub takes_second_step: bool,
}
