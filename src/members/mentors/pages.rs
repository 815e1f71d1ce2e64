//! A member says whether newcomers may ask them.

use axum::extract::State;

use super::store;
use crate::app::App;
use crate::members::paths;
use crate::web::form::Posted;
use crate::web::pages::{Answer, see_other};
use crate::web::viewer::Member;

/// What the settings say of mentors.
pub struct Mentoring {
    /// Whom a newcomer may ask.
    pub ask: Option<String>,
    /// Whether the member offers to be asked.
    pub offers: bool,
    /// Where the offer is made or taken back.
    pub action: String,
}

/// What the settings say to this member.
pub(in crate::members) async fn of_member(
    app: &App,
    conn: &mut sqlx::PgConnection,
    member: &Member,
) -> Result<Mentoring, crate::web::Error> {
    Ok(Mentoring {
        ask: store::whom_to_ask(conn, member.id, app.clock.now()).await?,
        offers: store::may_be_asked(conn, member.id).await?,
        action: app.site.base().link(paths::MENTORING.path),
    })
}

pub(in crate::members) async fn offer(
    State(app): State<App>,
    member: Member,
    posted: Posted,
) -> Answer {
    let offers = posted.one("may_ask")? == "yes";
    let mut tx = app.pool.begin().await?;
    store::offer(&mut tx, member.id, offers, app.clock.now()).await?;
    tx.commit().await?;
    let word = match offers {
        true => "mentor",
        false => "no-mentor",
    };
    see_other(
        app.site.base(),
        &format!("{}?done={word}", paths::SETTINGS.path),
    )
}
