//! A keeper takes a member's second step away: the phone and the recovery codes are lost.

use askama::Template;
use axum::extract::{Path, State};

use super::paths;
use crate::app::App;
use crate::mail::asking::Notice;
use crate::members::proven::Proven;
use crate::members::roll::{RollEntry, store};
use crate::members::second::store::take_away;
use crate::members::sessions::store::end_sessions;
use crate::web::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, not_stored, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "admin/second_step.html")]
struct TakePage {
    shell: Shell,
    name: String,
    has_one: bool,
    once: String,
    action: String,
    back: String,
}

/// The member, unless it is the keeper: one's own is removed on one's own page.
async fn find(app: &App, keeper: &Member, id: &str) -> Result<RollEntry, Error> {
    let mut conn = app.pool.acquire().await?;
    let found = store::find_entry(&mut conn, id).await?;
    found
        .filter(|entry| entry.id != keeper.id)
        .ok_or_else(Error::not_found)
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Proven(keeper): Proven,
    Path(id): Path<String>,
) -> Answer {
    let entry = find(&app, &keeper, &id).await?;
    not_stored(page(&TakePage {
        shell: app.shell(&viewer).at_place(Nav::Keeper),
        name: entry.name,
        has_one: entry.has_second_step,
        once: Once::fresh(&viewer)?,
        action: app.site.base().link(&paths::TAKE_SECOND_STEP.with(&[&id])),
        back: app.site.base().link(paths::MEMBERS.path),
    }))
}

pub(super) async fn take(
    State(app): State<App>,
    Proven(keeper): Proven,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let entry = find(&app, &keeper, &id).await?;
    let once = Once::read(&posted, &keeper)?;
    let done = format!("{}?done=second-step", paths::MEMBERS.path);
    let mut tx = app.pool.begin().await?;
    // Sent again, it must not take away what the member has set up meanwhile.
    if once::claim(&mut tx, &once, &keeper, paths::TAKE_SECOND_STEP).await? == Claim::Fresh {
        take_away(&mut tx, entry.id, Some(keeper.id)).await?;
        end_sessions(&mut tx, entry.id, None).await?;
        app.mail
            .notice(&mut tx, entry.id, Notice::SecondStep)
            .await?;
        once::settle(&mut tx, &once, &keeper, paths::TAKE_SECOND_STEP, &done).await?;
    }
    tx.commit().await?;
    tracing::info!(
        member = keeper.id.0,
        of = entry.id.0,
        "second step taken away"
    );
    see_other(app.site.base(), &done)
}
