//! What is due for a member: a line from each room that has one.

use sqlx::PgConnection;

use crate::recipes::drafts;
use crate::recipes::paths;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::paths::Base;
use crate::web::viewer::Member;

/// Drafts that are told of.
const DRAFTS: usize = 3;

/// Something that waits for the member.
pub struct Due {
    pub url: String,
    pub words: String,
    /// Why it waits, or since when.
    pub detail: String,
}

/// Everything, the most pressing first.
pub async fn due(conn: &mut PgConnection, member: &Member, base: &Base) -> Result<Vec<Due>, Error> {
    drafts_left(conn, member, base).await
}

async fn drafts_left(
    conn: &mut PgConnection,
    member: &Member,
    base: &Base,
) -> Result<Vec<Due>, Error> {
    let kept = drafts::store::list(conn, member.id, DRAFTS).await?;
    let lines = kept.into_iter().map(|draft| Due {
        url: base.link(&paths::DRAFT.with(&[draft.draft.as_str()])),
        words: match draft.title.trim() {
            "" => "without a name yet".to_owned(),
            title => title.to_owned(),
        },
        detail: format!(
            "not saved yet, last typed {}",
            moment(draft.updated_at, member.settings.zone)
        ),
    });
    Ok(lines.collect())
}
