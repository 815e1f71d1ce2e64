//! What is due for a member: lines from each room that has some.

use sqlx::PgConnection;

use crate::app::App;
use crate::batches::plan::due;
use crate::competitions;
use crate::meetings;
use crate::orders;
use crate::recipes::drafts;
use crate::recipes::paths;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::viewer::Member;

/// Drafts that are told of.
const DRAFTS: usize = 3;
/// Steps of batches that are told of.
const STEPS: usize = 12;

/// Something that waits for the member.
pub struct Due {
    pub url: String,
    pub words: String,
    /// Why it waits, or since when.
    pub detail: String,
}

/// What the member's batches want today, what waits longest first.
pub async fn batches(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<Due>, Error> {
    let wanted = due::wanted(app, conn, member).await?;
    let lines = wanted.into_iter().take(STEPS).map(|one| Due {
        url: one.url,
        words: one.words,
        detail: one.detail,
    });
    Ok(lines.collect())
}

/// What the member left unfinished, the newest first.
pub async fn left(app: &App, conn: &mut PgConnection, member: &Member) -> Result<Vec<Due>, Error> {
    let kept = drafts::store::list(conn, member.id, DRAFTS).await?;
    let lines = kept.into_iter().map(|draft| Due {
        url: app
            .site
            .base()
            .link(&paths::DRAFT.with(&[draft.draft.as_str()])),
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

/// What the club does together and has not done yet: meetings, the next one first, competitions, and orders that take honey.
pub async fn together(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<Due>, Error> {
    let called = meetings::store::list(conn).await?;
    let called = called.iter().filter(|meeting| !meeting.cancelled);
    let rows = called.map(|meeting| meetings::view::row(app, member, meeting));
    let mut due: Vec<Due> = rows
        .filter(|row| row.ahead)
        .map(|row| Due {
            url: row.url,
            words: row.title,
            detail: format!("a meeting, {}", row.meta),
        })
        .collect();
    due.reverse();
    let held = competitions::store::list(conn, member.id).await?;
    let rows = held
        .iter()
        .map(|one| competitions::view::row(app, member, one));
    due.extend(rows.filter(|row| row.going_on).map(|row| Due {
        url: row.url,
        words: row.title,
        detail: format!("a competition, {}", row.meta),
    }));
    let orders = orders::store::list(conn).await?;
    let rows = orders
        .iter()
        .map(|order| orders::view::row(app, member, order));
    due.extend(rows.filter(|row| row.open).map(|row| Due {
        url: row.url,
        words: row.title,
        detail: format!("honey together, {}", row.meta),
    }));
    Ok(due)
}
