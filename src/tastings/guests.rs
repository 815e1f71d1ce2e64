//! Guests: the links that a host hands out, and coming in by one.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::links::store::Invited;
use super::links::{DAYS, Link, store as links};
use super::model::{Pour, Seated, Tasting};
use super::pages::{own, shell};
use super::seats::store::{self as seats, Sitter};
use super::shown::Care;
use super::taking::full;
use super::{forms, paths, store};
use crate::app::App;
use crate::members::second::picture::Picture;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// Letters of the key by which a form that comes in is known again.
const KEY_LENGTH: usize = 52;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::GUESTS, guests)
        .on(paths::INVITE, invite)
        .on(paths::END_LINK, end)
        .on(paths::WELCOME, welcome)
        .on(paths::COME_IN, come_in)
}

/// A link in the list.
struct Row {
    state: String,
    note: String,
    end_at: Option<String>,
}

#[derive(Template)]
#[template(path = "tastings/guests.html")]
struct GuestsPage {
    shell: Shell,
    tasting_url: String,
    title: String,
    /// A closed tasting has no seats left to invite to.
    open: bool,
    action: String,
    days: Vec<(String, String)>,
    rows: Vec<Row>,
    form: FormState,
    once: String,
}

/// A link that was made just now.
struct Made {
    address: String,
    picture: Option<Picture>,
}

#[derive(Template)]
#[template(path = "tastings/links.html")]
struct LinksPage {
    shell: Shell,
    guests_url: String,
    title: String,
    made: Vec<Made>,
    days: i32,
}

fn row(app: &App, member: &Member, tasting: &Tasting, link: &Link) -> Row {
    let until = moment(link.expires_at, member.settings.zone);
    let id = tasting.public_id.as_str();
    Row {
        state: match (link.is_used, link.is_good) {
            (true, _) => "a guest came in by it".to_owned(),
            (false, true) => format!("good until {until}"),
            (false, false) => "lets nobody in any more".to_owned(),
        },
        note: link.note.clone(),
        end_at: link.is_good.then(|| {
            let path = paths::END_LINK.with(&[id, &link.public_id]);
            app.site.base().link(&path)
        }),
    }
}

async fn guests_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    tasting: &Tasting,
    form: FormState,
) -> Result<GuestsPage, Error> {
    let all = links::list(conn, tasting.id).await?;
    let base = app.site.base();
    let id = tasting.public_id.as_str();
    let days = DAYS.map(|days| {
        let words = match days {
            1 => "a day".to_owned(),
            days => format!("{days} days"),
        };
        (days.to_string(), words)
    });
    Ok(GuestsPage {
        shell: shell(app, member),
        tasting_url: base.link(&paths::TASTING.with(&[id])),
        title: tasting.title.clone(),
        open: tasting.is_open(),
        action: base.link(&paths::INVITE.with(&[id])),
        days: days.into(),
        rows: all
            .iter()
            .map(|link| row(app, member, tasting, link))
            .collect(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

/// A tasting of the member's own at which phones are used: on paper nobody comes by a link.
async fn on_phones(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Tasting, Error> {
    let tasting = own(conn, member, id).await?;
    match tasting.on_paper {
        true => Err(Error::not_found()),
        false => Ok(tasting),
    }
}

async fn guests(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let tasting = on_phones(&mut conn, &member, &id).await?;
    let mut form = FormState::new();
    form.set("count", "1");
    form.set("days", "1");
    not_stored(page(
        &guests_page(&app, &mut conn, &member, &tasting, form).await?,
    ))
}

async fn invite(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let tasting = on_phones(&mut tx, &member, &id).await?;
    let asked = match forms::inviting(&posted)? {
        Ok(asked) => asked,
        Err(form) => {
            let again = guests_page(&app, &mut tx, &member, &tasting, form).await?;
            return not_stored(form_again(&again));
        }
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::INVITE).await? {
        return see_other(app.site.base(), &location);
    }
    let mut made = Vec::new();
    for _ in 0..asked.count {
        let token = links::make(&mut tx, tasting.id, &asked.note, asked.days).await?;
        let token = token.ok_or_else(|| {
            Error::conflict(
                "No more links: the tasting is closed, or it has as many as it may. Take some back first.",
            )
        })?;
        let address = app.site.address(&paths::WELCOME.with(&[&token]));
        made.push(Made {
            picture: Picture::of(&address),
            address,
        });
    }
    let location = paths::GUESTS.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::INVITE, &location).await?;
    tx.commit().await?;
    not_stored(page(&LinksPage {
        shell: shell(&app, &member),
        guests_url: app.site.base().link(&location),
        title: tasting.title,
        made,
        days: asked.days,
    }))
}

async fn end(
    State(app): State<App>,
    member: Member,
    Path((id, link)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let tasting = own(&mut conn, &member, &id).await?;
    match links::end(&mut conn, tasting.id, &link).await? {
        true => see_other(app.site.base(), &paths::GUESTS.with(&[&id])),
        false => Err(Error::not_found()),
    }
}

#[derive(Template)]
#[template(path = "tastings/welcome.html")]
struct WelcomePage {
    shell: Shell,
    title: String,
    host: String,
    about: &'static str,
    action: String,
    key: String,
    care: Care,
    form: FormState,
}

/// The same for a link that was used, that ran out, and that never was.
fn stale() -> Error {
    Error::forbidden(
        "This link lets nobody in: it was used, it ran out, the tasting is over, or it was never made here. Ask your host for another.",
    )
}

fn welcome_page(
    app: &App,
    viewer: &Viewer,
    token: &str,
    (invited, pours): (&Invited, &[Pour]),
    form: FormState,
) -> Result<WelcomePage, Error> {
    Ok(WelcomePage {
        shell: app.shell(viewer),
        title: invited.title.clone(),
        host: invited.host_name.clone(),
        about: super::pages::told(invited.kind).1,
        action: app.site.base().link(&paths::COME_IN.with(&[token])),
        key: match form.typed("key") {
            "" => random::token()?,
            typed => typed.to_owned(),
        },
        care: Care::of(app, pours),
        form,
    })
}

async fn welcome(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    demand_open_book(&viewer)?;
    let mut conn = app.pool.acquire().await?;
    let invited = links::look(&mut conn, &token).await?.ok_or_else(stale)?;
    let pours = store::pours(&mut conn, None, invited.tasting).await?;
    let of = (&invited, pours.as_slice());
    not_stored(page(&welcome_page(
        &app,
        &viewer,
        &token,
        of,
        FormState::new(),
    )?))
}

/// To whoever judges, no link opens a tasting of others.
fn demand_open_book(viewer: &Viewer) -> Result<(), Error> {
    match viewer.book_closed() {
        true => Err(Error::not_found()),
        false => Ok(()),
    }
}

/// The key of the form, if it is one of ours: it opens the seat from now on, and knows the same form again.
fn key(posted: &Posted) -> Result<&str, Error> {
    let key = posted.one("key")?;
    let ours = |c: u8| c.is_ascii_lowercase() || (b'2'..=b'7').contains(&c);
    match key.len() == KEY_LENGTH && key.bytes().all(ours) {
        true => Ok(key),
        false => Err(Error::bad_request(
            "This form is incomplete. Open its page again.",
        )),
    }
}

/// Uses the link up and gives the seat, or does neither. A member sits as themselves.
async fn come_in(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    posted: Posted,
) -> Answer {
    demand_open_book(&viewer)?;
    let mut tx = app.pool.begin().await?;
    if let Some(tasting) = seated_already(&mut tx, &viewer, &token).await? {
        return see_other(app.site.base(), &paths::SEAT.with(&[&tasting]));
    }
    let Some(invited) = links::look(&mut tx, &token).await? else {
        return pressed_twice(&app, &mut tx, &posted).await;
    };
    let key = key(&posted)?;
    let name = match viewer.member() {
        Some(_) => String::new(),
        None => match forms::guest(&posted)? {
            Ok(name) => name,
            Err(form) => {
                let pours = store::pours(&mut tx, None, invited.tasting).await?;
                let of = (&invited, pours.as_slice());
                return not_stored(form_again(&welcome_page(&app, &viewer, &token, of, form)?));
            }
        },
    };
    let (sitter, to) = match viewer.member() {
        Some(member) => (
            Sitter::Member(member.id),
            paths::SEAT.with(&[invited.public_id.as_str()]),
        ),
        None => (Sitter::Guest(&name, key), paths::GUEST_SEAT.with(&[key])),
    };
    if !links::consume(&mut tx, &token).await? {
        return pressed_twice(&app, &mut tx, &posted).await;
    }
    let of = (invited.tasting, invited.kind);
    match seats::sit(&mut tx, of, sitter, app.clock.now()).await? {
        Seated::At(_) => {
            tx.commit().await?;
            not_stored(see_other(app.site.base(), &to))
        }
        Seated::Full => Err(full()),
        Seated::Closed => Err(stale()),
    }
}

/// The tasting of a link at which the member sits already: their link stays for somebody else.
async fn seated_already(
    conn: &mut PgConnection,
    viewer: &Viewer,
    token: &str,
) -> Result<Option<String>, Error> {
    match viewer.id() {
        Some(member) => Ok(links::seat_behind(conn, token, member).await?),
        None => Ok(None),
    }
}

/// The same form once more leads to the seat that it was given; any other finds the link used up.
async fn pressed_twice(app: &App, conn: &mut PgConnection, posted: &Posted) -> Answer {
    let Ok(key) = key(posted) else {
        return Err(stale());
    };
    match seats::seat_of_guest(conn, key).await? {
        Some(_) => not_stored(see_other(app.site.base(), &paths::GUEST_SEAT.with(&[key]))),
        None => Err(stale()),
    }
}
