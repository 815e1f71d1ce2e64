//! The page on which a batch is logged with one thumb: a reading first, all else one step further.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::desk::{Desk, answered, write};
use super::kept::Kept;
use super::sorts::{self, Field, Is, NOTE, NOTE_MAX, READING};
use super::{answer, desk, forms, said};
use crate::app::App;
use crate::batches::model::NewEntry;
use crate::batches::view::lead;
use crate::batches::{outlook, paths};
use crate::engine::log::Deed;
use crate::engine::log::entry::Note;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/log.html")]
struct LogPage {
    shell: Shell,
    name: String,
    batch_url: String,
    action: String,
    lead: String,
    /// The day it is, and what the gravity should read now where that is known.
    today: String,
    /// The gravity.
    first: Vec<Field>,
    /// The rest of a reading, folded.
    rest: Vec<Field>,
    is_unfolded: bool,
    /// What else can be logged: words and address.
    others: Vec<(&'static str, String)>,
    form: FormState,
    once: String,
    kept: Kept,
}

fn log_page(
    app: &App,
    member: &Member,
    (desk, today): (&Desk, String),
    form: FormState,
) -> Result<LogPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let id = desk.opened.batch.public_id.as_str();
    let mut first = (READING.fields)(&desk.case(member, None));
    let rest = first.split_off(1);
    let typed = |name: &str| name != "instrument" && !form.typed(name).is_empty();
    let named = rest.iter().map(|field| field.name);
    let is_unfolded = named.chain(["note", "day", "time"]).any(typed);
    let others = sorts::ALL.iter().filter(|sort| sort.word != READING.word);
    let settings = &member.settings;
    Ok(LogPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: desk.opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        action: base.link(&paths::READ.with(&[id])),
        lead: lead(&desk.opened, desk.to.now, settings.zone, settings.units),
        today,
        first,
        rest,
        is_unfolded,
        others: others
            .map(|sort| (sort.link, base.link(&paths::DEED.with(&[id, sort.word]))))
            .collect(),
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&viewer)?,
            typed => typed.to_owned(),
        },
        kept: Kept::of(member),
        form,
    })
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let desk = Desk::of(&app, &mut conn, &member, &id).await?;
    let mut form = FormState::new();
    (READING.begins)(&desk.case(&member, None), &mut form);
    let today = today(&mut conn, &desk).await?;
    page(&log_page(&app, &member, (&desk, today), form)?)
}

/// The day, and what the gravity should read now; nothing of that before the yeast is in and once it is over.
async fn today(conn: &mut PgConnection, desk: &Desk) -> Result<String, Error> {
    let earlier = outlook::store::earlier(conn).await?;
    let now_h = desk.opened.batch.hours_at(desk.to.now);
    let band = said::expected(&outlook::sight(&desk.opened, now_h, earlier, false));
    let expected = band.map_or(String::new(), |band| {
        format!(" About now {} is expected.", answer::range(band))
    });
    let day = desk.to.today().format("%A %-d %B %Y");
    Ok(format!("Today is {day}.{expected}"))
}

/// A reading and a note, an entry each; faults where nothing was typed or something does not read.
fn entries(
    desk: &Desk,
    member: &Member,
    posted: &Posted,
) -> Result<Result<Vec<NewEntry>, FormState>, Error> {
    let case = desk.case(member, None);
    let (form, reading) = desk::read(&READING, &case, posted)?;
    let mut typed = Typed::on(posted, form);
    let text = typed.lines("note", NOTE_MAX)?;
    if reading.is_none() && text.is_empty() && typed.form.is_sound() {
        typed
            .form
            .refuse("gravity", "Write the gravity, or anything else below.");
    }
    // The moment was read with the reading; its faults stand in the form already.
    let at = match &reading {
        Some(reading) => Some(reading.at),
        None if typed.form.is_sound() => forms::moment(&mut typed, case.to)?,
        None => None,
    };
    let Some(at) = at.filter(|_| typed.form.is_sound()) else {
        return Ok(Err(typed.form));
    };
    let note = (!text.is_empty()).then(|| NewEntry {
        typed: forms::as_typed(posted, &NOTE, &case),
        ..NewEntry::of(Deed::Note(Note { text: Some(text) }), at, member.id)
    });
    Ok(Ok(reading.into_iter().chain(note).collect()))
}

pub(super) async fn read(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let desk = Desk::of(&app, &mut tx, &member, &id).await?;
    let entries = match entries(&desk, &member, &posted)? {
        Ok(entries) => entries,
        Err(form) => {
            let today = today(&mut tx, &desk).await?;
            return form_again(&log_page(&app, &member, (&desk, today), form)?);
        }
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::READ).await? {
        return see_other(app.site.base(), &location);
    }
    let entry = write(&app, &mut tx, &member, &desk.opened, &entries).await?;
    let location = answered(&id, entry);
    once::settle(&mut tx, &once, &member, paths::READ, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
