//! The sheet for those who taste: the numbers in order, room for words, and nothing of what is in which glass.

use askama::Template;
use axum::extract::{Path, State};

use super::super::shared::{Head, shell};
use super::find;
use crate::app::App;
use crate::batches::opened::open_own;
use crate::batches::paths;
use crate::web::dates::day;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "batches/finishing/trial_sheet.html")]
struct SheetPage {
    shell: Shell,
    head: Head,
    number: i32,
    trial_url: String,
    when: String,
    codes: Vec<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let (logged, trial) = find(&opened, &number)?;
    let glasses = trial.glasses.iter();
    let mut codes: Vec<String> = glasses.map(|glass| glass.code.clone()).collect();
    codes.sort_unstable();
    page(&SheetPage {
        shell: shell(&app, &member),
        head: Head::of(&app, &opened),
        number: logged.entry,
        trial_url: app.site.base().link(&paths::TRIAL.with(&[&id, &number])),
        when: day(logged.at, member.settings.zone),
        codes,
    })
}
