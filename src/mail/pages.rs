//! Pages about mail. Without a mail server there are none.

use askama::Template;
use axum::Router;
use axum::extract::{Extension, Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::asking::{self, Notice};
use super::store::{self, Kept};
use super::{paths, read_address};
use crate::app::App;
use crate::members::middleware::Source;
use crate::members::names::key_of;
use crate::members::paths::{SETTINGS, SIGN_IN};
use crate::members::proven::Proven;
use crate::members::throttle::Try;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, MemberId, Viewer};

/// The most letters of a name that somebody forgot the password of.
const NAME_MAX: usize = 200;

/// The routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::MAIL, show)
        .on(paths::GIVE, give)
        .on(paths::REMINDERS, reminders)
        .on(paths::REMOVE, remove)
        .on(paths::CONFIRM, show_confirm)
        .on(paths::DO_CONFIRM, confirm)
        .on(paths::STOP, show_stop)
        .on(paths::DO_STOP, stop)
        .on(paths::FORGOTTEN, show_forgotten)
        .on(paths::SEND_RESET, send_reset)
        .done()
}

#[derive(Template)]
#[template(path = "mail/settings.html")]
struct MailPage {
    shell: Shell,
    form: FormState,
    kept: Option<Kept>,
    give: String,
    reminders: String,
    remove: String,
    back: String,
}

/// One question with one button, or what its answer did.
#[derive(Template)]
#[template(path = "mail/ask.html")]
struct AskPage {
    shell: Shell,
    title: &'static str,
    lead: String,
    button: &'static str,
    action: String,
}

#[derive(Template)]
#[template(path = "mail/forgotten.html")]
struct ForgottenPage {
    shell: Shell,
    form: FormState,
    action: String,
    sign_in: String,
    was_sent: bool,
}

/// What was done just now.
#[derive(Deserialize)]
struct Done {
    done: Option<String>,
}

/// Without a mail server there is nothing here.
fn demand(app: &App) -> Result<(), Error> {
    match app.mail.is_on() {
        true => Ok(()),
        false => Err(Error::not_found()),
    }
}

async fn mail_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    form: FormState,
) -> Result<MailPage, Error> {
    demand(app)?;
    let mut conn = app.pool.acquire().await?;
    let base = app.site.base();
    Ok(MailPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        kept: store::find(&mut conn, member.id).await?,
        give: base.link(paths::GIVE.path),
        reminders: base.link(paths::REMINDERS.path),
        remove: base.link(paths::REMOVE.path),
        back: base.link(SETTINGS.path),
    })
}

async fn show(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown = mail_page(&app, &viewer, &member, FormState::new()).await?;
    let said = match query.done.as_deref() {
        Some("given") => {
            "A letter is on its way to that address. Open its link, and press the button there."
        }
        Some("on") => "One letter a day at most tells you what your batches want.",
        Some("off") => "No reminders are sent any more.",
        Some("removed") => "The address is forgotten.",
        _ => "",
    };
    if !said.is_empty() {
        shown.shell = shown.shell.saying(said);
    }
    not_stored(page(&shown))
}

fn done(app: &App, word: &str) -> Answer {
    see_other(
        app.site.base(),
        &format!("{}?done={word}", paths::MAIL.path),
    )
}

async fn give(
    State(app): State<App>,
    viewer: Viewer,
    Proven(member): Proven,
    posted: Posted,
) -> Answer {
    demand(&app)?;
    let mut form = FormState::of(&posted);
    let Some(address) = read_address(posted.one("address")?) else {
        form.refuse("address", "Enter one address, like name@mead.example.");
        return not_stored(form_again(&mail_page(&app, &viewer, &member, form).await?));
    };
    let address = address.to_string();
    let mut tx = app.pool.begin().await?;
    if let Some(why) = take_in(&app, &mut tx, member.id, &address).await? {
        tx.rollback().await?;
        form.refuse("address", why);
        return not_stored(form_again(&mail_page(&app, &viewer, &member, form).await?));
    }
    tx.commit().await?;
    tracing::info!(member = member.id.0, "a mail address given");
    done(&app, "given")
}

/// Keeps an address, asks for the letter that confirms it, and tells the one before it. Why not, where it cannot be: then
/// nothing of it may stay.
async fn take_in(
    app: &App,
    conn: &mut PgConnection,
    member: MemberId,
    address: &str,
) -> Result<Option<&'static str>, Error> {
    match store::find(conn, member).await? {
        Some(kept) if kept.address != address => {
            app.mail.notice(conn, member, Notice::Address).await?;
        }
        Some(kept) if kept.is_confirmed => return Ok(Some("This address is confirmed already.")),
        _ => {}
    }
    store::give(conn, member, address).await?;
    let why = "So many letters were asked for today that no more are sent. Try again tomorrow.";
    let is_asked = asking::confirmation(conn, member).await?;
    Ok((!is_asked).then_some(why))
}

async fn reminders(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    demand(&app)?;
    let wanted = posted.one("reminders")? == "on";
    let mut conn = app.pool.acquire().await?;
    if !store::set_reminders(&mut conn, member.id, wanted).await? {
        return Err(Error::bad_request(
            "Give an address and confirm it first; then reminders can be sent there.",
        ));
    }
    done(&app, if wanted { "on" } else { "off" })
}

async fn remove(State(app): State<App>, Proven(member): Proven) -> Answer {
    demand(&app)?;
    let mut tx = app.pool.begin().await?;
    app.mail.notice(&mut tx, member.id, Notice::Address).await?;
    store::remove(&mut tx, member.id).await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "a mail address removed");
    done(&app, "removed")
}

fn stale() -> Error {
    Error::forbidden(
        "This link is not good any more. A new one comes when the address is given once more in the settings.",
    )
}

async fn show_confirm(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    demand(&app)?;
    let mut conn = app.pool.acquire().await?;
    let address = store::to_confirm(&mut conn, &token).await?;
    let address = address.ok_or_else(stale)?;
    not_stored(page(&AskPage {
        shell: app.shell(&viewer),
        title: "Is this your address?",
        lead: format!("{} would write to {address}.", app.site.club_name()),
        button: "Yes, it is mine",
        action: app.site.base().link(&paths::DO_CONFIRM.with(&[&token])),
    }))
}

async fn confirm(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    demand(&app)?;
    let mut conn = app.pool.acquire().await?;
    if !store::confirm(&mut conn, &token).await? {
        return Err(stale());
    }
    told(
        &app,
        &viewer,
        "Your address is confirmed",
        "A lost password can be replaced by a letter from now on. Reminders come only if you ask for them in your settings, under Mail.",
    )
}

fn told(app: &App, viewer: &Viewer, title: &'static str, lead: &str) -> Answer {
    not_stored(page(&AskPage {
        shell: app.shell(viewer),
        title,
        lead: lead.to_owned(),
        button: "",
        action: String::new(),
    }))
}

async fn show_stop(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    demand(&app)?;
    let mut conn = app.pool.acquire().await?;
    if !store::is_stop(&mut conn, &token).await? {
        return Err(Error::not_found());
    }
    not_stored(page(&AskPage {
        shell: app.shell(&viewer),
        title: "No more reminders?",
        lead: "Letters about what your batches want stop at once. In your settings, under Mail, they can begin again.".to_owned(),
        button: "Stop the reminders",
        action: app.site.base().link(&paths::DO_STOP.with(&[&token])),
    }))
}

async fn stop(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    demand(&app)?;
    let mut conn = app.pool.acquire().await?;
    if !store::stop(&mut conn, &token).await? {
        return Err(Error::not_found());
    }
    told(
        &app,
        &viewer,
        "No reminders are sent any more",
        "In your settings, under Mail, they can begin again.",
    )
}

fn forgotten_page(app: &App, viewer: &Viewer, form: FormState, was_sent: bool) -> ForgottenPage {
    ForgottenPage {
        shell: app.shell(viewer),
        form,
        action: app.site.base().link(paths::SEND_RESET.path),
        sign_in: app.site.base().link(SIGN_IN.path),
        was_sent,
    }
}

async fn show_forgotten(State(app): State<App>, viewer: Viewer) -> Answer {
    demand(&app)?;
    let form = FormState::new();
    not_stored(page(&forgotten_page(&app, &viewer, form, false)))
}

async fn send_reset(
    State(app): State<App>,
    viewer: Viewer,
    Extension(source): Extension<Source>,
    posted: Posted,
) -> Answer {
    demand(&app)?;
    let mut form = FormState::of(&posted);
    let name = key_of(posted.one("name")?);
    if name.is_empty() || name.len() > NAME_MAX {
        form.refuse("name", "Enter the name under which you sign in.");
        return not_stored(form_again(&forgotten_page(&app, &viewer, form, false)));
    }
    let mut conn = app.pool.acquire().await?;
    Try::of_reset(&name, source.0).count(&mut conn).await?;
    // Whether anybody has this name, and an address, is looked up when the letter is written, not here.
    asking::reset(&mut conn, &name).await?;
    not_stored(page(&forgotten_page(&app, &viewer, form, true)))
}
