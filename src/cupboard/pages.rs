//! The pages of the cupboard bound to their routes.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;
use sqlx::PgConnection;

use super::amount::Amount;
use super::forms;
use super::model::{Item, SaveError, Used};
use super::view::{Row, choices, done_words, row, speaks};
use super::{paths, store};
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::shelf;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::legible::capitalised;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::{Difference, differences};
use crate::web::viewer::{Member, Viewer};

/// The cupboard's routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::ITEM, show)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::USE, use_some)
        .on(paths::THROW_AWAY, throw_away)
        .done()
}

#[derive(Template)]
#[template(path = "cupboard/list.html")]
struct ListPage {
    shell: Shell,
    new_url: String,
    rows: Vec<Row>,
    used_up: Vec<Row>,
}

#[derive(Template)]
#[template(path = "cupboard/form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    save_words: &'static str,
    action: String,
    back_url: String,
    back_words: String,
    choices: Vec<(String, String)>,
    currency: String,
    form: FormState,
    once: String,
    version: i32,
    meanwhile: Vec<Difference>,
}

impl FormPage {
    fn price_hint(&self) -> String {
        format!("In {}, and for how much: 9.50 for 1 kg.", self.currency)
    }
}

#[derive(Template)]
#[template(path = "cupboard/item.html")]
struct ItemPage {
    shell: Shell,
    name: String,
    list_url: String,
    edit_url: String,
    entry_url: Option<String>,
    row: Row,
    has_some: bool,
    note: Vec<String>,
    form: FormState,
    use_at: String,
    throw_at: String,
    once: String,
    history: Vec<(String, String)>,
}

impl ItemPage {
    /// What its date asks for, as a sentence.
    fn soon(&self) -> String {
        format!("{}.", capitalised(&self.row.soon))
    }
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

async fn list(State(app): State<App>, member: Member, Query(told): Query<Told>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    let items = store::list(&mut conn, member.id).await?;
    drop(conn);
    let shell = app
        .shell(&Viewer::known(member.clone()))
        .at_place(Nav::Cupboard);
    let (there, gone): (Vec<&Item>, Vec<&Item>) =
        items.iter().partition(|item| item.said.left.value > 0.0);
    let rows = |items: &[&Item]| -> Vec<Row> {
        let rows = items
            .iter()
            .map(|item| row(&app, &member, &catalogue, item));
        rows.collect()
    };
    let mut there = rows(&there);
    there.sort_by_key(|row| row.soon.is_empty());
    page(&ListPage {
        shell: match told.done.as_deref() {
            Some("put") => shell.saying("It stands in your cupboard."),
            _ => shell,
        },
        new_url: app.site.base().link(paths::NEW.path),
        rows: there,
        used_up: rows(&gone[..gone.len().min(30)]),
    })
}

fn form_page(
    app: &App,
    member: &Member,
    catalogue: &ClubCatalogue,
    of: Option<&Item>,
    form: FormState,
) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let once = Once::for_form(&form, &viewer)?;
    Ok(FormPage {
        shell: app.shell(&viewer).at_place(Nav::Cupboard),
        heading: of.map_or("Something for the cupboard".to_owned(), |item| {
            format!("Correct {}", item.said.name)
        }),
        save_words: if of.is_some() { "Save" } else { "Put it in" },
        action: base.link(&of.map_or(paths::CREATE.path.to_owned(), |item| {
            paths::SAVE.with(&[&item.public_id])
        })),
        back_url: base.link(&of.map_or(paths::LIST.path.to_owned(), |item| {
            paths::ITEM.with(&[&item.public_id])
        })),
        back_words: of.map_or("cupboard".to_owned(), |item| item.said.name.clone()),
        choices: choices(catalogue),
        currency: app.site.currency().to_string(),
        version: of.map_or(0, |item| item.version),
        form,
        once,
        meanwhile: Vec::new(),
    })
}

async fn new(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    page(&form_page(
        &app,
        &member,
        &catalogue,
        None,
        FormState::new(),
    )?)
}

async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let said = match forms::thing(&posted, speaks(&app, &member, &catalogue))? {
        Ok(said) => said,
        Err(form) => return form_again(&form_page(&app, &member, &catalogue, None, form)?),
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let id = random::public_id()?;
    match store::put(&mut tx, member.id, &id, &said, app.clock.now()).await {
        Ok(()) => {}
        Err(SaveError::Full) => {
            tx.rollback().await?;
            let mut form = FormState::of(&posted);
            form.refuse(
                "what",
                "Your cupboard is full. Correct something that you used up instead.",
            );
            return form_again(&form_page(&app, &member, &catalogue, None, form)?);
        }
        Err(SaveError::Database(fault)) => return Err(fault.into()),
        Err(_) => return Err(Error::not_found()),
    }
    let location = format!("{}?done=put", paths::LIST.path);
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

async fn found(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Item, Error> {
    let item = store::find(conn, member.id, id).await?;
    item.ok_or_else(Error::not_found)
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let item = found(&mut conn, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    let form = forms::filled(&item, speaks(&app, &member, &catalogue));
    page(&form_page(&app, &member, &catalogue, Some(&item), form)?)
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let item = found(&mut tx, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let to = speaks(&app, &member, &catalogue);
    let version = posted.one("version")?.parse().unwrap_or(0);
    let said = match forms::thing(&posted, to)? {
        Ok(said) => said,
        Err(form) => {
            let mut again = form_page(&app, &member, &catalogue, Some(&item), form)?;
            again.version = version;
            return form_again(&again);
        }
    };
    match store::change(&mut tx, member.id, (&id, version), &said, app.clock.now()).await {
        Ok(()) => {
            tx.commit().await?;
            let path = format!("{}?done=saved", paths::ITEM.with(&[&id]));
            see_other(app.site.base(), &path)
        }
        Err(SaveError::Conflict(theirs)) => {
            let yours = FormState::of(&posted);
            let meanwhile = differences(forms::FIELDS, &forms::filled(&theirs, to), &yours);
            let mut again = form_page(&app, &member, &catalogue, Some(&theirs), yours)?;
            again.meanwhile = meanwhile;
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(_) => Err(Error::not_found()),
    }
}

async fn item_page(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    item: &Item,
    form: FormState,
) -> Result<ItemPage, Error> {
    let viewer = Viewer::known(member.clone());
    let catalogue = app.catalogue.now(&mut *conn).await?;
    let history = store::history(conn, member.id, &item.public_id).await?;
    let base = app.site.base();
    let at = |route: crate::web::paths::Route| base.link(&route.with(&[&item.public_id]));
    let key = item.said.key.as_deref().unwrap_or_default();
    let entry = catalogue
        .item(key)
        .map(|entry| base.link(&shelf::page_of(entry.key())));
    let zone = member.settings.zone;
    let once = Once::for_form(&form, &viewer)?;
    Ok(ItemPage {
        shell: app.shell(&viewer).at_place(Nav::Cupboard),
        name: item.said.name.clone(),
        list_url: base.link(paths::LIST.path),
        edit_url: at(paths::EDIT),
        entry_url: entry,
        row: row(app, member, &catalogue, item),
        has_some: item.said.left.value > 0.0,
        note: item.said.note.lines().map(str::to_owned).collect(),
        form,
        use_at: at(paths::USE),
        throw_at: at(paths::THROW_AWAY),
        once,
        history: history
            .iter()
            .map(|done| {
                (
                    moment(done.at, zone),
                    done_words(item, done, member.settings.units),
                )
            })
            .collect(),
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let item = found(&mut conn, &member, &id).await?;
    let mut shown = item_page(&app, &member, &mut conn, &item, FormState::new()).await?;
    let words = match told.done.as_deref() {
        Some("used") => "Noted: what is left is below.",
        Some("gone") => "Noted: nothing is left of it.",
        Some("saved") => "Saved.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

async fn use_some(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let item = found(&mut tx, &member, &id).await?;
    let once = Once::read(&posted, &member)?;
    let units = member.settings.units;
    let (amount, words) = match forms::using(&posted, &item, units)? {
        Ok(using) => using,
        Err(form) => {
            let again = item_page(&app, &member, &mut tx, &item, form).await?;
            return form_again(&again);
        }
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::USE).await? {
        return see_other(app.site.base(), &location);
    }
    let now = app.clock.now();
    match store::use_up(&mut tx, member.id, &id, amount, &words, now).await? {
        Used::Left(_) => {
            let location = format!("{}?done=used", paths::ITEM.with(&[&id]));
            once::settle(&mut tx, &once, &member, paths::USE, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Used::TooLittle(left) => {
            tx.rollback().await?;
            let mut conn = app.pool.acquire().await?;
            let left = Amount {
                value: left,
                ..item.said.left
            };
            let mut form = FormState::of(&posted);
            form.refuse(
                "used",
                format!("There are only {} left.", left.shown(units)),
            );
            form_again(&item_page(&app, &member, &mut conn, &item, form).await?)
        }
        Used::NotFound => Err(Error::not_found()),
    }
}

async fn throw_away(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut tx = app.pool.begin().await?;
    found(&mut tx, &member, &id).await?;
    store::throw_away(&mut tx, member.id, &id, "", app.clock.now()).await?;
    tx.commit().await?;
    let path = format!("{}?done=gone", paths::ITEM.with(&[&id]));
    see_other(app.site.base(), &path)
}
