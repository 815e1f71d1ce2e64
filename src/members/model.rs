//! A member as stored, and what makes one.

use crate::web::shell::Theme;
use crate::web::units::Units;
use crate::web::viewer::{Member, MemberId, Role, Settings};

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

/// The columns of a session with its member.
pub(super) struct SessionRow {
    pub session: i64,
    pub id: MemberId,
    pub public_id: String,
    pub name: String,
    pub role: Role,
    pub units: Units,
    pub theme: String,
    pub zone: String,
    pub sachet_g: f64,
    /// It was last noted as used so long ago that it is time to note it again.
    pub stale: bool,
}

impl From<SessionRow> for Member {
    fn from(row: SessionRow) -> Member {
        let settings = Settings {
            units: row.units,
            theme: Theme::from_word(&row.theme),
            zone: row.zone.parse().unwrap_or(chrono_tz::UTC),
            sachet_g: row.sachet_g,
        };
        Member {
            id: row.id,
            public_id: row.public_id,
            name: row.name,
            role: row.role,
            settings,
            session: row.session,
        }
    }
}
