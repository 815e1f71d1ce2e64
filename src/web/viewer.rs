//! Who looks: a member's id.

/// A member's key in the database.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct MemberId(pub i64);
