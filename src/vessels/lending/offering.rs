//! A thing offered to be lent: its form, its changes, and whether it is lent at all.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;

use super::pages::lent;
use super::{Thing, forms, store};
use crate::app::App;
use crate::vessels::paths;
use crate::vessels::store::SaveError;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEW_THING, new)
        .on(paths::ADD_THING, add)
        .on(paths::EDIT_THING, edit)
        .on(paths::SAVE_THING, save)
        .on(paths::WITHDRAW_THING, withdraw)
        .on(paths::OFFER_THING, offer)
}

#[derive(Template)]
#[template(path = "vessels/thing_form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    action: String,
    back_url: String,
    form: FormState,
    once: String,
    version: i32,
    conflict: bool,
    /// Whether the form asks whose it is.
    asks_whose: bool,
}

impl FormPage {
    const WHOSE: &[(&str, &str)] = &[("mine", "mine"), ("club", "the club’s")];
}

fn form_page(
    app: &App,
    member: &Member,
    of: Option<&Thing>,
    form: FormState,
) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let (heading, action, back, version) = match of {
        None => (
            "A thing to lend".to_owned(),
            paths::ADD_THING.path.to_owned(),
            paths::EQUIPMENT.path.to_owned(),
            0,
        ),
        Some(thing) => (
            thing.is.name.clone(),
            paths::SAVE_THING.with(&[&thing.public_id]),
            paths::THING.with(&[&thing.public_id]),
            thing.version,
        ),
    };
    Ok(FormPage {
        heading,
        action: base.link(&action),
        back_url: base.link(&back),
        form,
        once: Once::fresh(&viewer)?,
        version,
        conflict: false,
        asks_whose: of.is_none() && viewer.is_keeper(),
        shell: app.shell(&viewer),
    })
}

async fn new(State(app): State<App>, member: Member) -> Answer {
    let mut form = FormState::new();
    form.set("whose", "mine");
    page(&form_page(&app, &member, None, form)?)
}

async fn add(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let is_keeper = Viewer::known(member.clone()).is_keeper();
    let (thing, clubs) = match forms::thing(&posted, member.settings.units, is_keeper)? {
        Ok(read) => read,
        Err(form) => return form_again(&form_page(&app, &member, None, form)?),
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, paths::ADD_THING).await? {
        return see_other(app.site.base(), &to);
    }
    let id = random::public_id()?;
    let owner = (!clubs).then_some(member.id);
    store::add(&mut tx, &id, owner, &thing, app.clock.now()).await?;
    let location = format!("{}?done=saved", paths::THING.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::ADD_THING, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let form = forms::filled(&thing.is);
    page(&form_page(&app, &member, Some(&thing), form)?)
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let version: i32 = posted.one("version")?.parse().unwrap_or(0);
    let (described, _) = match forms::thing(&posted, member.settings.units, false)? {
        Ok(read) => read,
        Err(form) => {
            let page = form_page(&app, &member, Some(&thing), form)?;
            return form_again(&FormPage { version, ..page });
        }
    };
    let mut conn = app.pool.acquire().await?;
    match store::change(&mut conn, (&thing.public_id, version), &described).await {
        Ok(()) => {
            let to = paths::THING.with(&[&thing.public_id]);
            see_other(app.site.base(), &format!("{to}?done=saved"))
        }
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(_) => {
            drop(conn);
            let now = lent(&app, &member, &id).await?;
            let page = form_page(&app, &member, Some(&now), FormState::of(&posted))?;
            let page = FormPage {
                conflict: true,
                ..page
            };
            page_with(StatusCode::CONFLICT, &page)
        }
    }
}

async fn withdraw(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let mut conn = app.pool.acquire().await?;
    store::withdraw(&mut conn, &thing.public_id, true, app.clock.now()).await?;
    let to = format!("{}?done=withdrawn", paths::EQUIPMENT.path);
    see_other(app.site.base(), &to)
}

async fn offer(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let mut conn = app.pool.acquire().await?;
    store::withdraw(&mut conn, &thing.public_id, false, app.clock.now()).await?;
    let to = paths::THING.with(&[&thing.public_id]);
    see_other(app.site.base(), &format!("{to}?done=offered"))
}
