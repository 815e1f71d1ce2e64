//! A member as stored, and what makes one.

use crate::web::viewer::{MemberId, Role, Settings};

/// What a new member is made of. The password hash is the hasher's.
#[derive(Clone, Debug)]
pub struct NewMember {
    /// The name as shown.
    pub name: super::names::Name,
    /// The hash of the password; none for a member who cannot sign in yet.
    pub password_hash: Option<String>,
    /// What they may do for the club.
    pub role: Role,
    /// How pages speak to them.
    pub settings: Settings,
}

/// What a sign-in needs to know of a member.
#[derive(Clone, Debug)]
pub struct Credentials {
    /// Key inside the database.
    pub id: MemberId,
    /// Random id for addresses.
    pub public_id: String,
    /// The name as shown.
    pub name: String,
    /// The hash of the password.
    pub password_hash: Option<String>,
}
