//! The page that takes a table in: pasted or chosen, its columns said, its rows shown, then written.

use askama::Template;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, header};
use sqlx::PgConnection;

use super::MAX_BYTES;
use super::columns::{self, MEANINGS, Table};
use super::rows::{Chosen, Row, keys, once_each, rows};
use crate::app::App;
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::start::Speaks;
use crate::batches::{log, paths, store};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::upload;
use crate::web::viewer::{Member, Viewer};

/// Rows that are shown before they are taken in.
const SHOWN: usize = 200;

#[derive(Template)]
#[template(path = "batches/import.html")]
struct ImportPage {
    shell: Shell,
    name: String,
    batch_url: String,
    look_at: String,
    file_at: String,
    take_at: String,
    form: FormState,
    once: String,
    columns: Vec<Column>,
    choices: Vec<(String, String)>,
    rows: Vec<Row>,
    sound: usize,
    faulty: usize,
    again: usize,
    more: usize,
}

impl ImportPage {
    const GRAVITY: &[(&str, &str)] = &[("sg", "SG or points"), ("percent", "°P or °Bx")];
}

/// The field that says which column is what.
struct Column {
    label: &'static str,
    field: String,
}

const LABELS: [&str; 6] = ["Day", "Time of day", "Gravity", "Temperature", "pH", "Note"];

fn import_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<ImportPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    Ok(ImportPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        look_at: base.link(&paths::LOOK.with(&[id])),
        file_at: base.link(&paths::LOOK_AT_FILE.with(&[id])),
        take_at: base.link(&paths::TAKE_ROWS.with(&[id])),
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&viewer)?,
            typed => typed.to_owned(),
        },
        form,
        columns: Vec::new(),
        choices: Vec::new(),
        rows: Vec::new(),
        sound: 0,
        faulty: 0,
        again: 0,
        more: 0,
    })
}

/// The table of a form and what its columns are; a fault stands in the form.
fn table_of(form: &mut FormState) -> Option<(Table, Chosen)> {
    let text = form.typed("table").to_owned();
    if text.len() > MAX_BYTES {
        form.refuse(
            "table",
            "This is too long. Take a part of it: some thousand rows.",
        );
        return None;
    }
    let table = match columns::read(&text) {
        Ok(table) => table,
        Err(why) => {
            form.refuse("table", why.to_string());
            return None;
        }
    };
    let guessed = columns::guess(&table);
    // A table that comes for the first time says nothing of its columns.
    let is_new = form.typed("column-when").is_empty();
    let told_in_percent = |name: &String| {
        let name = name.to_lowercase();
        ["brix", "plato", "°bx", "°p"]
            .iter()
            .any(|word| name.contains(word))
    };
    if is_new {
        for ((field, _), at) in MEANINGS.iter().zip(&guessed) {
            let at = at.map_or_else(|| "none".to_owned(), |at| at.to_string());
            form.set(&format!("column-{field}"), at);
        }
        let percent = guessed[2]
            .and_then(|at| table.names.get(at))
            .is_some_and(told_in_percent);
        form.set("gravity_as", if percent { "percent" } else { "sg" });
    }
    let chosen = |(field, _): &(&str, &[&str])| {
        let at = form.typed(&format!("column-{field}")).parse::<usize>().ok();
        at.filter(|at| *at < table.names.len())
    };
    let chosen = Chosen {
        columns: MEANINGS.iter().map(chosen).collect(),
        in_percent: form.typed("gravity_as") == "percent",
    };
    if chosen.columns.first().is_some_and(Option::is_none) {
        form.refuse("column-when", "Choose the column in which the day stands.");
    }
    Some((table, chosen))
}

fn speaks(app: &App, member: &Member) -> Speaks {
    Speaks {
        units: member.settings.units,
        zone: member.settings.zone,
        now: app.clock.now(),
    }
}

/// The page with the rows as they would be taken in.
async fn shown(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    mut form: FormState,
) -> Answer {
    let Some((table, chosen)) = table_of(&mut form) else {
        return form_again(&import_page(app, member, opened, form)?);
    };
    let mut read = rows(
        &table,
        &chosen,
        speaks(app, member),
        opened.batch.began_at,
        member.id,
    );
    let before = log::store::known(conn, opened.batch.id, &keys(&read)).await?;
    once_each(&mut read, &before);
    let faulty = read.iter().filter(|row| !row.fault.is_empty()).count();
    let new = read.iter().filter(|row| row.is_new()).count();
    let is_sound = form.is_sound();
    let mut page_shown = import_page(app, member, opened, form)?;
    let none = [("none".to_owned(), "no column".to_owned())];
    let named = table
        .names
        .iter()
        .enumerate()
        .map(|(at, name)| (at.to_string(), name.clone()));
    page_shown.choices = none.into_iter().chain(named).collect();
    let labelled = LABELS.into_iter().zip(MEANINGS);
    page_shown.columns = labelled
        .map(|(label, (field, _))| Column {
            label,
            field: format!("column-{field}"),
        })
        .collect();
    page_shown.sound = if is_sound { new } else { 0 };
    page_shown.faulty = faulty;
    page_shown.again = read.len() - faulty - new;
    page_shown.more = read.len().saturating_sub(SHOWN);
    page_shown.rows = read.into_iter().take(SHOWN).collect();
    match is_sound {
        true => page(&page_shown),
        false => form_again(&page_shown),
    }
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    page(&import_page(&app, &member, &opened, FormState::new())?)
}

pub(super) async fn look(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let form = FormState::of(&posted);
    shown(&app, &mut conn, (&member, &opened), form).await
}

pub(super) async fn look_at_file(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    headers: HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let mut form = FormState::new();
    let Ok(body) = body else {
        form.refuse("file", "This file is too large. Paste a part of it.");
        return form_again(&import_page(&app, &member, &opened, form)?);
    };
    let kind = headers
        .get(header::CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok());
    let parts = upload::read(kind.unwrap_or_default(), &body);
    let parts =
        parts.map_err(|_| Error::bad_request("Choose the file on the page that takes it in."))?;
    let file = parts
        .into_iter()
        .find(|part| part.is_file && part.name == "file");
    let text = file.and_then(|file| String::from_utf8(file.bytes).ok());
    match text.filter(|text| !text.trim().is_empty() && !text.contains('\0')) {
        Some(text) => {
            form.set("table", text);
            shown(&app, &mut conn, (&member, &opened), form).await
        }
        None => {
            form.refuse(
                "file",
                "Choose a file of text: a table saved as CSV, in UTF-8.",
            );
            form_again(&import_page(&app, &member, &opened, form)?)
        }
    }
}

pub(super) async fn take(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    let mut form = FormState::of(&posted);
    let read = table_of(&mut form).filter(|_| form.is_sound());
    let Some((table, chosen)) = read else {
        let form = FormState::of(&posted);
        return shown(&app, &mut tx, (&member, &opened), form).await;
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::TAKE_ROWS).await? {
        return see_other(app.site.base(), &location);
    }
    let read = rows(
        &table,
        &chosen,
        speaks(&app, &member),
        opened.batch.began_at,
        member.id,
    );
    store::hold(&mut tx, member.id, opened.batch.id).await?;
    for entry in read.iter().flat_map(|row| &row.entries) {
        store::add(&mut tx, opened.batch.id, entry, app.clock.now()).await?;
    }
    refresh(&mut tx, &member, &opened.batch.public_id).await?;
    let location = format!("{}?done=imported", paths::BATCH.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::TAKE_ROWS, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
