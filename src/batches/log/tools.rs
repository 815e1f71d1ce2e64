//! What a gravity is read with: a hydrometer of the member's own, or one as most are.

use sqlx::PgConnection;

use crate::vessels::instruments::{Hydrometer, What, store};
use crate::web::error::Error;
use crate::web::viewer::Member;

/// A hydrometer of a member.
pub struct Tool {
    pub public_id: String,
    pub name: String,
    pub is: Hydrometer,
}

/// What most are marked for, °C.
pub const USUAL: Hydrometer = Hydrometer {
    in_water_sg: 1.0,
    marked_for_c: 20.0,
    step_sg: 0.002,
};

/// The hydrometers among a member's instruments in use.
///
/// # Errors
/// When the database does not answer.
pub async fn of(conn: &mut PgConnection, member: &Member) -> Result<Vec<Tool>, Error> {
    let owned = store::list(conn, member.id).await?.into_iter();
    let tools = owned
        .filter(|tool| !tool.retired)
        .filter_map(|tool| match tool.is.what {
            What::Hydrometer(is) => Some(Tool {
                public_id: tool.public_id,
                name: tool.is.name,
                is,
            }),
            _ => None,
        });
    Ok(tools.collect())
}
