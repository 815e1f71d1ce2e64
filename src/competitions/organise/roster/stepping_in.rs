//! A keeper becomes organiser where none is left who can: with a reason, and written down.

use askama::Template;
use axum::extract::{Path, State};
use serde_json::json;

use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::organise::{paths, phase::REASON_MAX, store};
use crate::competitions::paths as all;
use crate::competitions::shown::shell;
use crate::competitions::store::hold;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "competitions/organise/step_in.html")]
struct StepInPage {
    shell: Shell,
    competition_url: String,
    title: String,
    action: String,
    form: FormState,
}

fn step_in_page(app: &App, member: &Member, opened: &Opened, form: FormState) -> StepInPage {
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    StepInPage {
        shell: shell(app, member),
        competition_url: base.link(&all::COMPETITION.with(&[id])),
        title: opened.competition.title.clone(),
        action: base.link(&paths::STEP_IN.with(&[id])),
        form,
    }
}

pub(in crate::competitions::organise) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    page(&step_in_page(&app, &member, &opened, FormState::new()))
}

pub(in crate::competitions::organise) async fn step_in(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let reason = typed.lines("reason", REASON_MAX)?;
    if reason.is_empty() {
        let why = "Write why you step in: everybody may read that afterwards.";
        typed.form.refuse("reason", why);
    }
    if !typed.form.is_sound() {
        return form_again(&step_in_page(&app, &member, &opened, typed.form));
    }
    let competition = opened.competition.id;
    if hold(&mut tx, competition).await? == Phase::Archived {
        return Err(Error::conflict("It is over: nothing can be set any more."));
    }
    if store::add_duty(&mut tx, competition, member.id, Duty::Organiser).await? {
        let deed = Deed {
            deed: "stepped_in",
            about: json!({ "member": member.id }),
            reason: &reason,
        };
        deeds::write(
            &mut tx,
            competition,
            Some(member.id),
            &deed,
            app.clock.now(),
        )
        .await?;
    }
    tx.commit().await?;
    see_other(app.site.base(), &paths::ROSTER.with(&[&id]))
}
