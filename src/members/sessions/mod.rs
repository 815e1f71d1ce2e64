//! Sessions: from the token in a browser's cookie to the member behind it.

pub mod store;

use chrono::{DateTime, Utc};

use crate::web::shell::Theme;
use crate::web::units::Units;
use crate::web::viewer::{CatalogueState, Member, MemberId, Role, Settings};

/// A session that could still be used, as its member sees it.
pub struct OpenSession {
    pub public_id: String,
    pub created_at: DateTime<Utc>,
    /// When it was last noted as used, to five minutes.
    pub seen_at: DateTime<Utc>,
    /// Whether it is the one that asks.
    pub is_this: bool,
}

/// What a session says besides who it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    /// Whether its member proved who they are a moment ago: only then may they change what lets them in.
    pub is_proven: bool,
    /// Whether its member has a second step.
    pub has_second_step: bool,
}

/// A session that is alive.
pub struct Found {
    pub member: Member,
    pub standing: Standing,
    /// It was last noted as used so long ago that it is time to note it again.
    pub stale: bool,
    /// Of the club's row, if it was read with it.
    pub club_version: Option<i32>,
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
    pub powder_step_g: f64,
    pub honey_step_g: f64,
    pub stale: bool,
    pub is_proven: bool,
    pub has_second_step: bool,
    pub book_closed: bool,
    pub catalogue: Option<CatalogueState>,
    pub club_version: Option<i32>,
}

impl From<SessionRow> for Found {
    fn from(row: SessionRow) -> Found {
        let settings = Settings {
            units: row.units,
            theme: Theme::from_word(&row.theme),
            zone: row.zone.parse().unwrap_or(chrono_tz::UTC),
            sachet_g: row.sachet_g,
            powder_step_g: row.powder_step_g,
            honey_step_g: row.honey_step_g,
        };
        Found {
            member: Member {
                id: row.id,
                public_id: row.public_id,
                name: row.name,
                role: row.role,
                settings,
                session: row.session,
                book_closed: row.book_closed,
                catalogue: row.catalogue,
            },
            standing: Standing {
                is_proven: row.is_proven,
                has_second_step: row.has_second_step,
            },
            stale: row.stale,
            club_version: row.club_version,
        }
    }
}
