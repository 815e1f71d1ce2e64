//! One sheet: shown, saved, kept while it is typed, signed, stepped back from.

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use serde::Deserialize;
use serde_json::json;
use sqlx::PgConnection;

use super::model::{self, Asked, Deed, Follows, Stage, Written};
use super::page::sheet_page;
use super::seated::Seated;
use super::store::{self, Next};
use super::{forms, paths};
use crate::app::App;
use crate::competitions::deeds;
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::store as competitions;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::Once;
use crate::web::pages::{Answer, form_again, not_stored, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::viewer::Member;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::KEY, key)
        .on(paths::SHEET, show)
        .on(paths::SAVE, save)
        .on(paths::KEEP, keep)
        .on(paths::SIGN, sign)
        .on(paths::RECOGNISE, recognise)
}

/// Competition, flight and code of an address.
type At = (String, String, String);

fn named(at: &At) -> (&str, &str, &str) {
    (&at.0, &at.1, &at.2)
}

#[derive(Deserialize)]
pub(super) struct Told {
    pub done: Option<String>,
}

impl Told {
    /// What it says above the heading.
    fn words(&self) -> &'static str {
        match self.done.as_deref() {
            Some("saved") => "Saved. Nobody else reads it before you sign.",
            Some("signed") => "Signed. Here is the next glass.",
            Some("stepped") => "Noted that you step back. Here is the next glass.",
            _ => "",
        }
    }
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let seated = Seated::read(&mut conn, &member, named(&at)).await?;
    let flight = seated.table.flight.id;
    let last = store::last(&mut conn, flight, seated.glass.entry, member.id).await?;
    let shown = sheet_page(&app, &member, &seated, last.as_ref(), None)?;
    not_stored(page(&shown.saying(told.words())))
}

/// What became of a sheet that was sent.
enum Sent {
    /// It stands as the row of this number.
    Stands(i32),
    Faulty(FormState),
    /// Another page was faster: this stands there.
    Clash(Box<Written>),
}

/// Writes a sheet down, or says why not.
async fn write(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    seated: &Seated,
    (posted, deed): (&Posted, Deed),
) -> Result<Sent, Error> {
    Once::read(posted, member)?;
    let rules = &seated.table.opened.competition.rules;
    let to_sign = deed == Deed::Signed;
    let asked = match forms::read(rules, posted, to_sign)? {
        Ok(asked) => asked,
        Err(form) => return Ok(Sent::Faulty(form)),
    };
    let act = if to_sign { Act::Sign } else { Act::WriteSheet };
    let last = seated.hold(conn, act).await?;
    let number = last.as_ref().map_or(0, |last| last.number);
    match (
        model::stage(last.as_ref()),
        model::follows(last.as_ref(), &asked),
    ) {
        (Stage::Blank | Stage::Begun, Follows::Next) => {}
        (Stage::Blank | Stage::Begun, Follows::Already) if to_sign => {}
        (Stage::Blank | Stage::Begun | Stage::Signed, Follows::Already) => {
            return Ok(Sent::Stands(number));
        }
        // Signed, typed from paper, or newer: never written over.
        _ => {
            let last = last.ok_or_else(Error::not_found)?;
            return Ok(Sent::Clash(Box::new(last)));
        }
    }
    let number = add(app, conn, seated, (deed, &asked, number)).await?;
    Ok(Sent::Stands(number))
}

/// Adds a row; what freezes a sheet is a deed too.
async fn add(
    app: &App,
    conn: &mut PgConnection,
    seated: &Seated,
    (deed, asked, after): (Deed, &Asked, i32),
) -> Result<i32, Error> {
    let (flight, judge) = (&seated.table.flight, seated.table.opened.viewer);
    let now = app.clock.now();
    let next = Next {
        flight: flight.id,
        entry: seated.glass.entry,
        judge,
        after,
        deed,
        asked,
        by: judge,
        at: now,
    };
    let number = store::add(conn, &next).await?;
    if deed != Deed::Saved {
        let about = json!({
            "flight": flight.public_id.as_str(),
            "code": seated.glass.code,
            "row": number,
            "sheet": model::digest(&asked.sheet),
        });
        let done = deeds::Deed {
            deed: deed.told(),
            about,
            reason: "",
        };
        let competition = seated.table.opened.competition.id;
        deeds::write(conn, competition, Some(judge), &done, now).await?;
    }
    Ok(number)
}

/// The page again where a sheet could not be written.
fn again(app: &App, member: &Member, seated: &Seated, posted: &Posted, sent: Sent) -> Answer {
    match sent {
        Sent::Stands(_) => Err(Error::not_found()),
        Sent::Faulty(form) => {
            let version: i32 = posted.one("version")?.parse().unwrap_or(0);
            let mut shown = sheet_page(app, member, seated, None, Some(form))?;
            shown.made_from(version);
            not_stored(form_again(&shown))
        }
        Sent::Clash(last) => {
            let rules = &seated.table.opened.competition.rules;
            let yours = Some(FormState::of(posted));
            let shown = sheet_page(app, member, seated, Some(&last), yours)?;
            let shown = shown.beside(rules, &last.sheet);
            not_stored(page_with(StatusCode::CONFLICT, &shown))
        }
    }
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let seated = Seated::read(&mut tx, &member, named(&at)).await?;
    match write(&app, &mut tx, &member, &seated, (&posted, Deed::Saved)).await? {
        Sent::Stands(_) => {
            tx.commit().await?;
            let path = paths::SHEET.with(&[&at.0, &at.1, &at.2]);
            see_other(app.site.base(), &format!("{path}?done=saved"))
        }
        sent => again(&app, &member, &seated, &posted, sent),
    }
}

/// The same for the script, which stays on its page: the number of the row that now stands.
async fn keep(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let seated = Seated::read(&mut tx, &member, named(&at)).await?;
    match write(&app, &mut tx, &member, &seated, (&posted, Deed::Saved)).await? {
        Sent::Stands(number) => {
            tx.commit().await?;
            not_stored(Ok(number.to_string().into_response()))
        }
        sent => again(&app, &member, &seated, &posted, sent),
    }
}

async fn sign(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let seated = Seated::read(&mut tx, &member, named(&at)).await?;
    match write(&app, &mut tx, &member, &seated, (&posted, Deed::Signed)).await? {
        Sent::Stands(_) => {
            let next = next(&mut tx, &seated, "signed").await?;
            tx.commit().await?;
            see_other(app.site.base(), &next)
        }
        sent => again(&app, &member, &seated, &posted, sent),
    }
}

/// The next glass of this judge's flight that waits for them, else the table.
async fn next(conn: &mut PgConnection, seated: &Seated, done: &str) -> Result<String, Error> {
    let table = &seated.table;
    let sheets = store::sheets(conn, table.flight.id).await?;
    let waits = |entry| {
        let own = |one: &&Written| one.entry == entry && one.judge == table.opened.viewer;
        let stage = model::stage(sheets.iter().find(own));
        matches!(stage, Stage::Blank | Stage::Begun)
    };
    let id = table.opened.competition.public_id.as_str();
    let flight = table.flight.public_id.as_str();
    let glass = table.glasses.iter().find(|glass| waits(glass.entry));
    let path = match glass {
        Some(glass) => paths::SHEET.with(&[id, flight, &glass.code]),
        None => paths::TABLE.with(&[id, flight]),
    };
    Ok(format!("{path}?done={done}"))
}

/// "I recognise this entry": the judge steps back, and that is written down.
async fn recognise(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let seated = Seated::read(&mut tx, &member, named(&at)).await?;
    Once::read(&posted, &member)?;
    let (flight, competition) = (seated.table.flight.id, seated.table.opened.competition.id);
    competitions::hold(&mut tx, competition).await?;
    let before = store::last(&mut tx, flight, seated.glass.entry, member.id).await?;
    if model::stage(before.as_ref()) != Stage::SteppedBack {
        let last = seated.hold(&mut tx, Act::Recuse).await?;
        if !matches!(model::stage(last.as_ref()), Stage::Blank | Stage::Begun) {
            return Err(Error::conflict(
                "This sheet is signed. Tell an organiser: they give it back to you, then you can step back from it.",
            ));
        }
        let asked = Asked {
            version: 0,
            hand: String::new(),
            sequence: 0,
            sheet: last
                .as_ref()
                .map_or_else(Default::default, |last| last.sheet.clone()),
        };
        let after = last.map_or(0, |last| last.number);
        add(&app, &mut tx, &seated, (Deed::Recused, &asked, after)).await?;
    }
    let next = next(&mut tx, &seated, "stepped").await?;
    tx.commit().await?;
    see_other(app.site.base(), &next)
}

/// The key under which this session's phone keeps what is not sent yet. Nobody else is ever given it.
async fn key(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Judge])?;
    let key = store::key_of_session(&mut conn, member.id, member.session).await?;
    let key = key.ok_or_else(Error::sign_in)?;
    let text: String = key.iter().map(|byte| format!("{byte:02x}")).collect();
    not_stored(Ok(text.into_response()))
}
