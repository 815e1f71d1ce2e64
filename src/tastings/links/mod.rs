//! Links for guests: each seats one, who needs no account.

pub mod store;

use chrono::{DateTime, Utc};

/// The most links that are made at once.
pub const AT_ONCE: i32 = 20;
/// The most links of a tasting that can still be used.
pub const GOOD_MAX: i64 = 60;
/// For how many days a link can be good.
pub const DAYS: [i32; 3] = [1, 3, 7];

/// A link as the host sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    pub public_id: String,
    pub note: String,
    pub expires_at: DateTime<Utc>,
    pub is_used: bool,
    pub is_good: bool,
}
