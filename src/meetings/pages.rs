//! The pages of meetings bound to their routes.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use serde::Deserialize;
use sqlx::PgConnection;

use super::forms;
use super::model::{Coming, Meeting, SaveError};
use super::view::{PourRow, Row, paragraphs, pour_row, row, speaks};
use super::{bringing, calendar, paths, pouring, store};
use crate::app::App;
use crate::club;
use crate::safety;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::markdown::{HELP, Rendered, render};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::{Difference, differences};
use crate::web::viewer::{Member, Viewer};

/// The routes of meetings.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::MEETING, show)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::ANSWER, answer)
        .on(paths::BRING, bringing::bring)
        .on(paths::SUGGESTED, bringing::suggest)
        .on(paths::MOVE, bringing::move_pour)
        .on(paths::TAKE_OFF, bringing::take_off)
        .on(paths::CANCEL, cancel)
        .on(paths::POURING, print)
        .on(paths::CALENDAR, to_calendar)
        .done()
}

#[derive(Template)]
#[template(path = "meetings/list.html")]
struct ListPage {
    shell: Shell,
    club_url: String,
    new_url: String,
    ahead: Vec<Row>,
    past: Vec<Row>,
}

#[derive(Template)]
#[template(path = "meetings/form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    save_words: &'static str,
    action: String,
    back_url: String,
    back_words: String,
    zone: String,
    is_new: bool,
    form: FormState,
    once: String,
    version: i32,
    meanwhile: Vec<Difference>,
}

impl FormPage {
    fn notes_hint(&self) -> String {
        format!("What was said of what was poured, for those who were not there. {HELP}")
    }

    fn time_hint(&self) -> String {
        format!("Such as 19:30, as your clock says ({}).", self.zone)
    }
}

/// A meeting as it is read.
#[derive(Template)]
#[template(path = "meetings/meeting.html")]
pub(super) struct MeetingPage {
    shell: Shell,
    list_url: String,
    title: String,
    lead: String,
    by: String,
    cancelled: bool,
    about: Vec<String>,
    notes: Rendered,
    has_notes: bool,
    /// Answers with the names of whoever gave them.
    answers: Vec<(&'static str, String)>,
    mine: &'static str,
    pours: Vec<PourRow>,
    moved: bool,
    owns: bool,
    choices: Vec<(String, String)>,
    form: FormState,
    once: String,
    drinking_url: String,
    allergies_url: String,
    answer_at: String,
    bring_at: String,
    edit_url: String,
    suggested_at: String,
    pouring_url: String,
    calendar_url: String,
    cancel_at: Option<String>,
}

impl MeetingPage {
    const COMING: &[(&str, &str)] = &[
        ("yes", "I come"),
        ("perhaps", "perhaps"),
        ("no", "not this time"),
    ];
}

#[derive(Template)]
#[template(path = "meetings/pouring.html")]
struct PouringPage {
    shell: Shell,
    title: String,
    when: String,
    place: String,
    back_url: String,
    pours: Vec<PourRow>,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

async fn list(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let meetings = store::list(&mut conn).await?;
    drop(conn);
    let rows = meetings.iter().map(|meeting| row(&app, &member, meeting));
    let (mut ahead, past): (Vec<Row>, Vec<Row>) = rows.partition(|row| row.ahead);
    ahead.reverse();
    page(&ListPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Club),
        club_url: app.site.base().link(club::paths::CLUB.path),
        new_url: app.site.base().link(paths::NEW.path),
        ahead,
        past,
    })
}

fn form_page(
    app: &App,
    member: &Member,
    of: Option<&Meeting>,
    form: FormState,
) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let path = |route: Route, none: &str| match of {
        Some(meeting) => base.link(&route.with(&[&meeting.public_id])),
        None => base.link(none),
    };
    Ok(FormPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        heading: of.map_or("Call a meeting".to_owned(), |meeting| {
            format!("Correct {}", meeting.said.title)
        }),
        save_words: if of.is_some() { "Save" } else { "Call it" },
        action: path(paths::SAVE, paths::CREATE.path),
        back_url: path(paths::MEETING, paths::LIST.path),
        back_words: of.map_or("meetings".to_owned(), |meeting| meeting.said.title.clone()),
        zone: member.settings.zone.to_string(),
        is_new: of.is_none(),
        version: of.map_or(0, |meeting| meeting.version),
        once: Once::for_form(&form, &viewer)?,
        form,
        meanwhile: Vec::new(),
    })
}

async fn new(State(app): State<App>, member: Member) -> Answer {
    page(&form_page(&app, &member, None, FormState::new())?)
}

async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let said = match forms::meeting(&posted, speaks(&app, &member))? {
        Ok(said) => said,
        Err(form) => return form_again(&form_page(&app, &member, None, form)?),
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let id = random::public_id()?;
    store::make(&mut tx, &id, member.id, &said, app.clock.now()).await?;
    let location = format!("{}?done=called", paths::MEETING.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

pub(super) async fn found(conn: &mut PgConnection, id: &str) -> Result<Meeting, Error> {
    store::find(conn, id).await?.ok_or_else(Error::not_found)
}

/// A meeting that the member called.
pub(super) async fn own(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Meeting, Error> {
    let meeting = found(conn, id).await?;
    match meeting.opener == member.id {
        true => Ok(meeting),
        false => Err(Error::not_found()),
    }
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let meeting = own(&mut conn, &member, &id).await?;
    let form = forms::filled(&meeting, member.settings.zone);
    page(&form_page(&app, &member, Some(&meeting), form)?)
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let meeting = own(&mut tx, &member, &id).await?;
    let version = posted.one("version")?.parse().unwrap_or(0);
    let said = match forms::meeting(&posted, speaks(&app, &member))? {
        Ok(said) => said,
        Err(form) => {
            let mut again = form_page(&app, &member, Some(&meeting), form)?;
            again.version = version;
            return form_again(&again);
        }
    };
    match store::change(&mut tx, member.id, (&id, version), &said).await {
        Ok(()) => {
            tx.commit().await?;
            told(&app, &id, "saved")
        }
        Err(SaveError::Conflict(theirs)) => {
            let yours = FormState::of(&posted);
            let now = forms::filled(&theirs, member.settings.zone);
            let mut again = form_page(&app, &member, Some(&theirs), yours.clone())?;
            again.meanwhile = differences(forms::FIELDS, &now, &yours);
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

pub(super) fn told(app: &App, id: &str, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::MEETING.with(&[id]));
    see_other(app.site.base(), &path)
}

/// The page of a meeting, with a form as it was typed.
pub(super) async fn meeting_page(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    meeting: &Meeting,
    form: FormState,
) -> Result<MeetingPage, Error> {
    let viewer = Viewer::known(member.clone());
    let id = meeting.public_id.as_str();
    let answers = store::answers(&mut *conn, id).await?;
    let pours = pouring::ordered(store::pours(&mut *conn, member.id, id).await?);
    let choices = bringing::choices(conn, member).await?;
    let base = app.site.base();
    let at = |route: Route| base.link(&route.with(&[id]));
    let said = &meeting.said;
    let owns = meeting.opener == member.id;
    let mine = answers.iter().find(|answer| answer.member == member.id);
    let of = |coming: Coming| {
        let names = answers.iter().filter(|answer| answer.coming == coming);
        let names: Vec<&str> = names.map(|answer| answer.name.as_str()).collect();
        names.join(", ")
    };
    let named = [
        ("come", of(Coming::Yes)),
        ("perhaps", of(Coming::Perhaps)),
        ("not this time", of(Coming::No)),
    ];
    let place = match said.place.as_str() {
        "" => String::new(),
        place => format!(", {place}"),
    };
    Ok(MeetingPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        list_url: base.link(paths::LIST.path),
        title: said.title.clone(),
        lead: format!("{}{place}.", moment(said.starts_at, member.settings.zone)),
        by: format!("called by {}", meeting.opener_name),
        cancelled: meeting.cancelled,
        about: paragraphs(&said.about),
        notes: render(&said.notes),
        has_notes: !said.notes.is_empty(),
        answers: named
            .into_iter()
            .filter(|(_, names)| !names.is_empty())
            .collect(),
        mine: mine.map_or("", |answer| answer.coming.word()),
        moved: pours.iter().any(|pour| pour.place.is_some()),
        pours: pours
            .iter()
            .map(|pour| pour_row(app, member, meeting, pour))
            .collect(),
        owns,
        choices,
        once: Once::for_form(&form, &viewer)?,
        form,
        drinking_url: base.link(&safety::paths::subject("drinking")),
        allergies_url: base.link(&safety::paths::subject("allergies")),
        answer_at: at(paths::ANSWER),
        bring_at: at(paths::BRING),
        edit_url: at(paths::EDIT),
        suggested_at: at(paths::SUGGESTED),
        pouring_url: at(paths::POURING),
        calendar_url: at(paths::CALENDAR),
        cancel_at: (!meeting.cancelled && (owns || viewer.is_keeper())).then(|| at(paths::CANCEL)),
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let meeting = found(&mut conn, &id).await?;
    let mut shown = meeting_page(&app, &member, &mut conn, &meeting, FormState::new()).await?;
    let words = match told.done.as_deref() {
        Some("called") => "Called: every member sees it. Put down what you bring.",
        Some("saved") => "Saved.",
        Some("answered") => "Noted.",
        Some("brought") => "Put down. The order of pouring follows by itself.",
        Some("off") => "Taken off the list.",
        Some("suggested") => "Poured as suggested again.",
        Some("cancelled") => "Called off. It stays to be read.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

async fn answer(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    found(&mut conn, &id).await?;
    let coming = Coming::of(posted.one("coming")?)
        .ok_or_else(|| Error::bad_request("Choose whether you come, on the meeting's page."))?;
    match store::answer(&mut conn, &id, member.id, coming, app.clock.now()).await? {
        true => told(&app, &id, "answered"),
        false => Err(Error::conflict("The meeting was called off.")),
    }
}

async fn cancel(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let meeting = found(&mut conn, &id).await?;
    let keeps = Viewer::known(member.clone()).is_keeper();
    if meeting.opener != member.id && !keeps {
        return Err(Error::not_found());
    }
    let opener = (!keeps).then_some(member.id);
    store::cancel(&mut conn, &id, opener, app.clock.now()).await?;
    told(&app, &id, "cancelled")
}

async fn print(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let meeting = found(&mut conn, &id).await?;
    let pours = pouring::ordered(store::pours(&mut conn, member.id, &id).await?);
    drop(conn);
    let base = app.site.base();
    page(&PouringPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Club),
        title: meeting.said.title.clone(),
        when: moment(meeting.said.starts_at, member.settings.zone),
        place: meeting.said.place.clone(),
        back_url: base.link(&paths::MEETING.with(&[&id])),
        pours: pours
            .iter()
            .map(|pour| PourRow {
                // Others read the paper too.
                who: pour.member_name.clone(),
                ..pour_row(&app, &member, &meeting, pour)
            })
            .collect(),
    })
}

async fn to_calendar(State(app): State<App>, _: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let meeting = found(&mut conn, &id).await?;
    let url = app.site.address(&paths::MEETING.with(&[&id]));
    let text = calendar::file(&meeting, &url, app.site.host(), app.clock.now());
    let headers = [
        (header::CONTENT_TYPE, crate::web::calendar::KIND),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"meeting.ics\"",
        ),
    ];
    Ok((headers, text).into_response())
}
