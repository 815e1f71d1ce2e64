//! The page of a split trial: its question, its parts under their codes, labels to print, and its day.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::opening::seed;
use super::store::{self, Part, Trial};
use super::{PARTS, forms};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::parting::{differs, speaks};
use crate::batches::{paths, store as batches};
use crate::engine::senses::orders::codes;
use crate::tastings;
use crate::web::dates::date;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::Once;
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/trial.html")]
pub(super) struct TrialPage {
    shell: Shell,
    name: String,
    batch_url: String,
    parts_url: String,
    action: String,
    off_at: String,
    open_at: String,
    once: String,
    trial: Option<Set>,
    parts: Vec<Line>,
    /// Whether there are as many parts as can be tasted against each other.
    can_be: bool,
    form: FormState,
}

/// A trial that is set.
struct Set {
    question: String,
    day: String,
    is_due: bool,
    is_two: bool,
    labels: Vec<i32>,
    /// Where the tasting of it is.
    tasting_url: Option<String>,
}

/// A part of it.
struct Line {
    name: String,
    url: String,
    code: String,
    /// What was said of it when it was parted.
    differs: String,
    is_gone: bool,
}

pub(super) async fn trial_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    mut form: FormState,
) -> Result<TrialPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    let to = speaks(app, member);
    let trial = store::find(conn, opened.batch.id).await?;
    let parts = store::parts(conn, member.id, opened.batch.id).await?;
    if form.is_sound() {
        let day = trial
            .as_ref()
            .map_or_else(|| forms::usual_day(opened, to), |trial| trial.taste_on);
        form.set("taste_on", date(day));
        let question = trial.as_ref().map_or("", |trial| trial.question.as_str());
        form.set("question", question);
        form.set("tasters", "6");
    }
    let there = parts.iter().filter(|part| !part.is_gone).count();
    let mut differences = Vec::new();
    for part in &parts {
        let of = open_own(conn, member, part.public_id.as_str()).await?;
        differences.push(differs(&of).unwrap_or_default().to_owned());
    }
    let line = |(part, differs): (&Part, String)| Line {
        differs,
        name: part.name.clone(),
        url: base.link(&paths::BATCH.with(&[part.public_id.as_str()])),
        code: part.code.map(|code| code.to_string()).unwrap_or_default(),
        is_gone: part.is_gone,
    };
    let set = |trial: Trial| Set {
        tasting_url: trial
            .tasting
            .map(|tasting| base.link(&tastings::paths::TASTING.with(&[&tasting]))),
        question: trial.question,
        day: date(trial.taste_on),
        is_due: trial.taste_on <= to.today(),
        is_two: there == *PARTS.start(),
        labels: parts.iter().filter_map(|part| part.code).collect(),
    };
    Ok(TrialPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        parts_url: base.link(&paths::PARTS.with(&[id])),
        action: base.link(&paths::SET_SPLIT_TRIAL.with(&[id])),
        off_at: base.link(&paths::CALL_SPLIT_TRIAL_OFF.with(&[id])),
        open_at: base.link(&paths::OPEN_SPLIT_TRIAL.with(&[id])),
        once: Once::for_form(&form, &viewer)?,
        trial: trial.map(set),
        parts: parts.iter().zip(differences).map(line).collect(),
        can_be: PARTS.contains(&there),
        form,
    })
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    page(&trial_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

pub(super) async fn set(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    let batch = opened.batch.id;
    batches::hold(&mut tx, member.id, batch).await?;
    let mut typed = Typed::of(&posted);
    let wanted = forms::read(&mut typed, speaks(&app, &member))?;
    let parts = store::parts(&mut tx, member.id, batch).await?;
    let there = parts.iter().filter(|part| !part.is_gone).count();
    if !PARTS.contains(&there) {
        typed
            .form
            .refuse("question", "Part it into two to six first.");
    }
    let Some((question, day)) = wanted.filter(|_| typed.form.is_sound()) else {
        return form_again(&trial_page(&app, &mut tx, &member, &opened, typed.form).await?);
    };
    store::set(&mut tx, batch, (&question, day), app.clock.now()).await?;
    give_codes(&mut tx, &opened, &parts).await?;
    tx.commit().await?;
    see_other(app.site.base(), &paths::SPLIT_TRIAL.with(&[&id]))
}

/// Codes for the parts that have none: by chance, and none twice.
async fn give_codes(conn: &mut PgConnection, opened: &Opened, parts: &[Part]) -> Result<(), Error> {
    let taken: Vec<i32> = parts.iter().filter_map(|part| part.code).collect();
    let new = codes(parts.len() + taken.len(), seed()?)
        .into_iter()
        .map(i32::from);
    let mut new = new.filter(|code| !taken.contains(code));
    for part in parts.iter().filter(|part| part.code.is_none()) {
        if let Some(code) = new.next() {
            store::give_code(conn, opened.batch.id, part.id, code).await?;
        }
    }
    Ok(())
}

pub(super) async fn call_off(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    match store::call_off(&mut conn, opened.batch.id).await? {
        true => see_other(app.site.base(), &paths::SPLIT_TRIAL.with(&[&id])),
        false => Err(Error::not_found()),
    }
}
