//! What a page of the log tells the script that keeps entries while there is no connection.

use crate::web::viewer::Member;

/// Whose entries are kept, and in which zone they are timed.
pub struct Kept {
    pub member: String,
    pub zone: String,
}

impl Kept {
    /// For a member's page.
    pub fn of(member: &Member) -> Kept {
        Kept {
            member: member.public_id.clone(),
            zone: member.settings.zone.to_string(),
        }
    }
}
