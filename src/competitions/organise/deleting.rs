//! A draft or a rehearsal goes for good, asked twice: nothing of it is anybody's mead.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::{paths, store};
use crate::app::App;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::paths as all;
use crate::competitions::shown::shell;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "competitions/organise/delete.html")]
struct DeletePage {
    shell: Shell,
    competition_url: String,
    title: String,
    rehearsal: bool,
    /// Somebody entered a batch: what was written of it would be lost.
    stays: bool,
    action: String,
    once: String,
    form: FormState,
}

/// Whether it is one that may go: nobody entered a draft, and a rehearsal counts nowhere.
pub(super) fn may_go(opened: &Opened) -> bool {
    let competition = &opened.competition;
    opened.has(Duty::Organiser) && (competition.phase == Phase::Draft || competition.rehearsal)
}

async fn opened(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let opened = Opened::read(conn, member, id).await?;
    match may_go(&opened) {
        true => Ok(opened),
        false => Err(Error::not_found()),
    }
}

async fn delete_page(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    form: FormState,
) -> Result<DeletePage, Error> {
    let base = app.site.base();
    let competition = &opened.competition;
    let id = competition.public_id.as_str();
    Ok(DeletePage {
        shell: shell(app, member),
        competition_url: base.link(&all::COMPETITION.with(&[id])),
        title: competition.title.clone(),
        rehearsal: competition.rehearsal,
        stays: store::has_batches(conn, competition.id).await?,
        action: base.link(&paths::DELETE.with(&[id])),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = opened(&mut conn, &member, &id).await?;
    page(&delete_page(&app, &mut conn, (&member, &opened), FormState::new()).await?)
}

pub(super) async fn delete(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    // Pressed twice: it is gone already, and that is what was wanted.
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::DELETE).await? {
        return see_other(app.site.base(), &location);
    }
    let opened = opened(&mut tx, &member, &id).await?;
    if posted.one("sure")? != "yes" {
        let mut form = FormState::of(&posted);
        form.refuse("sure", "Tick it if it shall go: it cannot be brought back.");
        return form_again(&delete_page(&app, &mut tx, (&member, &opened), form).await?);
    }
    if !store::remove(&mut tx, opened.competition.id).await? {
        return Err(Error::conflict(
            "It was opened meanwhile, or somebody entered a batch of theirs: it stays.",
        ));
    }
    once::settle(&mut tx, &once, &member, paths::DELETE, all::LIST.path).await?;
    tx.commit().await?;
    see_other(app.site.base(), all::LIST.path)
}
