//! Calling off a tasting that is open, deleting one that is closed: asked once more, because what others said goes with it.

use askama::Template;
use axum::extract::{Path, State};

use super::pages::{own, shell};
use super::{paths, store};
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "tastings/remove.html")]
struct RemovePage {
    shell: Shell,
    tasting_url: String,
    title: String,
    /// Whether it still takes answers.
    open: bool,
    /// "Two have said something."
    said: String,
    action: String,
}

/// How many said something.
fn said(answered: i64) -> String {
    match answered {
        0 => "Nobody has said anything.".to_owned(),
        1 => "One person has said something.".to_owned(),
        many => format!("{many} have said something."),
    }
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let tasting = own(&mut conn, &member, &id).await?;
    let (_, answered) = store::count(&mut conn, tasting.id).await?;
    let base = app.site.base();
    page(&RemovePage {
        shell: shell(&app, &member),
        tasting_url: base.link(&paths::TASTING.with(&[&id])),
        action: base.link(&paths::CALL_OFF.with(&[&id])),
        open: tasting.is_open(),
        said: said(answered),
        title: tasting.title,
    })
}

/// Removes it, as long as it is open or closed as its host last saw it.
pub(super) async fn remove(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let was_closed = posted.one("closed")? == "yes";
    let mut conn = app.pool.acquire().await?;
    let tasting = own(&mut conn, &member, &id).await?;
    match store::remove(&mut conn, tasting.id, was_closed).await? {
        true => see_other(app.site.base(), &format!("{}?done=gone", paths::LIST.path)),
        false => Err(Error::conflict(
            "The tasting is closed by now. Look at what was said before you delete it.",
        )),
    }
}
