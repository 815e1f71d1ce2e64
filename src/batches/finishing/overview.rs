//! The page that leads through the last third.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::finished::Reader;
use super::shared::{Head, shell};
use super::stages::{self, Stage};
use crate::app::App;
use crate::batches::opened::open_own;
use crate::batches::view::lead;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "batches/finishing/overview.html")]
struct OverviewPage {
    shell: Shell,
    head: Head,
    lead: String,
    stages: Vec<Stage>,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let settings = &member.settings;
    let said = match told.done.as_deref() {
        Some("logged") => "Written into the log. What follows is reckoned with it.",
        _ => "",
    };
    page(&OverviewPage {
        shell: shell(&app, &member).saying(said),
        head: Head::of(&app, &opened),
        lead: lead(&opened, app.clock.now(), settings.zone, settings.units),
        stages: stages::all(&app, &opened, Reader::of(&member)),
    })
}
