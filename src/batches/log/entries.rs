//! One entry with its versions. Its maker corrects it: a further version counts, the earlier ones stay to be read.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use chrono_tz::Tz;

use super::deeds::told_empty;
use super::desk::{Desk, answered, read};
use super::sorts::{self, Field, Is};
use super::{forms, view};
use crate::app::App;
use crate::batches::model::{Logged, NewEntry, SaveError};
use crate::batches::opened::{Opened, open, refresh, settings_of};
use crate::batches::{paths, store};
use crate::engine::log::Deed;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::units::Units;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/entry.html")]
struct EntryPage {
    shell: Shell,
    name: String,
    batch_url: String,
    lead: String,
    /// Which of its log it is.
    number: i32,
    /// The newest first.
    versions: Vec<Version>,
    struck: bool,
    own: Option<Own>,
}

/// A version as it reads.
struct Version {
    heading: String,
    lead: String,
    words: Vec<String>,
    when: String,
    /// When it was written, and by whom.
    meta: String,
}

/// What only its maker may do.
struct Own {
    correct: Option<Correction>,
    out_at: String,
    in_at: String,
    once: String,
    version: i32,
}

struct Correction {
    action: String,
    asked: Vec<Field>,
    form: FormState,
    /// Whether it was changed in another window meanwhile.
    meanwhile: bool,
}

impl EntryPage {
    fn form(&self) -> Option<&Correction> {
        self.own.as_ref()?.correct.as_ref()
    }

    fn is_late(&self) -> bool {
        self.form().is_some_and(|correct| correct.meanwhile)
    }

    fn faults(&self) -> &[(String, String)] {
        self.form()
            .map(|correct| correct.form.faults())
            .unwrap_or_default()
    }
}

fn versions(all: &[Logged], zone: Tz, reads: Units) -> Vec<Version> {
    all.iter()
        .map(|one| {
            let (lead, words) = view::told(&one.deed, reads);
            let written = moment(one.recorded_at, zone);
            Version {
                heading: match one.version {
                    1 => "As it was first written".to_owned(),
                    _ if one.struck => "Taken out".to_owned(),
                    _ => "Written anew".to_owned(),
                },
                lead,
                words,
                when: moment(one.at, zone),
                meta: format!("written {written} by {}", one.by_name),
            }
        })
        .collect()
}

fn entry_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    all: &[Logged],
    own: Option<Own>,
) -> Result<EntryPage, Error> {
    let newest = newest(all)?;
    let (zone, reads) = (member.settings.zone, member.settings.units);
    let path = paths::BATCH.with(&[opened.batch.public_id.as_str()]);
    Ok(EntryPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: app.site.base().link(&path),
        lead: view::told(&newest.deed, reads).0,
        number: newest.entry,
        versions: versions(all, zone, reads),
        struck: newest.struck,
        own,
    })
}

/// What the maker of a batch may do with an entry; nothing with what a step of the plan or a parting wrote but take it out.
fn own(
    app: &App,
    member: &Member,
    desk: &Desk,
    before: &Logged,
    form: Option<FormState>,
) -> Result<Option<Own>, Error> {
    if matches!(before.deed, Deed::Part(_)) {
        return Ok(None);
    }
    let number = before.entry.to_string();
    let ids = [desk.opened.batch.public_id.as_str(), &number];
    let at = |route: Route| app.site.base().link(&route.with(&ids));
    let case = desk.case(member, Some(before));
    let once = form.as_ref().map_or("", |form| form.typed(once::FIELD));
    Ok(Some(Own {
        out_at: at(paths::STRIKE),
        in_at: at(paths::RESTORE),
        once: match once {
            "" => Once::fresh(&Viewer::known(member.clone()))?,
            typed => typed.to_owned(),
        },
        version: before.version,
        correct: sorts::of_deed(&before.deed).map(|sort| Correction {
            action: at(paths::CORRECT),
            asked: (sort.fields)(&case),
            form: form.unwrap_or_else(|| forms::again(sort, &case, before)),
            meanwhile: false,
        }),
    }))
}

/// The entry of a number in an address.
fn number(text: &str) -> Result<i32, Error> {
    text.parse().map_err(|_| Error::not_found())
}

/// The version that counts.
fn newest(all: &[Logged]) -> Result<&Logged, Error> {
    all.first().ok_or_else(Error::not_found)
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open(&mut conn, Some(member.id), &settings_of(&member), &id).await?;
    let all = store::versions(&mut conn, opened.batch.id, number(&entry)?).await?;
    if opened.batch.owner != member.id {
        return page(&entry_page(&app, &member, &opened, &all, None)?);
    }
    let desk = Desk::of(&app, &mut conn, &member, &id).await?;
    let own = own(&app, &member, &desk, newest(&all)?, None)?;
    page(&entry_page(&app, &member, &opened, &all, own)?)
}

/// The version that a form saw.
fn seen(posted: &Posted) -> Result<i32, Error> {
    Ok(posted.one("version")?.parse().unwrap_or(0))
}

pub(super) async fn correct(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let desk = Desk::of(&app, &mut tx, &member, &id).await?;
    let all = store::versions(&mut tx, desk.opened.batch.id, number(&entry)?).await?;
    let before = newest(&all)?;
    let sort = sorts::of_deed(&before.deed).ok_or_else(Error::not_found)?;
    let case = desk.case(&member, Some(before));
    let (form, new) = read(sort, &case, &posted)?;
    let again = |form| {
        let own = own(&app, &member, &desk, before, Some(form))?;
        entry_page(&app, &member, &desk.opened, &all, own)
    };
    let Some(new) = new else {
        return form_again(&again(told_empty(&(sort.fields)(&case), form))?);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CORRECT).await? {
        return see_other(app.site.base(), &location);
    }
    store::hold(&mut tx, member.id, desk.opened.batch.id).await?;
    let place = (before.entry, seen(&posted)?);
    let (batch, now) = (&desk.opened.batch, app.clock.now());
    match store::correct(&mut tx, batch.id, place, &new, before.struck, now).await {
        Ok(()) => {}
        Err(SaveError::Conflict) => return page_with(StatusCode::CONFLICT, &late(again(form)?)),
        Err(SaveError::NotFound) => return Err(Error::not_found()),
        Err(SaveError::Database(fault)) => return Err(fault.into()),
    }
    refresh(&mut tx, &member, &batch.public_id).await?;
    let location = answered(&id, Some(before.entry));
    once::settle(&mut tx, &once, &member, paths::CORRECT, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The page of who came second: theirs stands in the form, the other among the versions.
fn late(mut page: EntryPage) -> EntryPage {
    if let Some(correct) = page.own.as_mut().and_then(|own| own.correct.as_mut()) {
        correct.meanwhile = true;
    }
    page
}

pub(super) async fn strike(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    set_struck(&app, &member, (&id, &entry), &posted, true).await
}

pub(super) async fn restore(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    set_struck(&app, &member, (&id, &entry), &posted, false).await
}

/// Takes an entry out or lets it count again, by a further version that says the same.
async fn set_struck(
    app: &App,
    member: &Member,
    (id, entry): (&str, &str),
    posted: &Posted,
    struck: bool,
) -> Answer {
    let once = Once::read(posted, member)?;
    let route = if struck {
        paths::STRIKE
    } else {
        paths::RESTORE
    };
    let mut tx = app.pool.begin().await?;
    let desk = Desk::of(app, &mut tx, member, id).await?;
    let all = store::versions(&mut tx, desk.opened.batch.id, number(entry)?).await?;
    let before = newest(&all)?;
    if matches!(before.deed, Deed::Part(_)) {
        return Err(Error::not_found());
    }
    if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
        return see_other(app.site.base(), &location);
    }
    store::hold(&mut tx, member.id, desk.opened.batch.id).await?;
    let same = NewEntry {
        typed: before.typed.clone(),
        ..NewEntry::of(before.deed.clone(), before.at, member.id)
    };
    let place = (before.entry, seen(posted)?);
    let (batch, now) = (&desk.opened.batch, app.clock.now());
    match store::correct(&mut tx, batch.id, place, &same, struck, now).await {
        Ok(()) => {}
        Err(SaveError::Conflict) => {
            return Err(Error::conflict(
                "This entry was changed in another window meanwhile. Look at it once more.",
            ));
        }
        Err(SaveError::NotFound) => return Err(Error::not_found()),
        Err(SaveError::Database(fault)) => return Err(fault.into()),
    }
    refresh(&mut tx, member, &batch.public_id).await?;
    let done = if struck { "struck" } else { "restored" };
    let location = format!(
        "{}?done={done}&entry={}",
        paths::BATCH.with(&[id]),
        before.entry
    );
    once::settle(&mut tx, &once, member, route, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
