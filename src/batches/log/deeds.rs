//! The pages of all that is logged besides readings: one form each, drawn from its fields.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::desk::{Desk, answered, read, write};
use super::kept::Kept;
use super::sorts::{self, Field, Is, Sort};
use crate::app::App;
use crate::batches::model::{Ending, NewEntry};
use crate::batches::{paths, store};
use crate::engine::log::Deed;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};
use crate::web::words::{Words, beware};

#[derive(Template)]
#[template(path = "batches/deed.html")]
pub(super) struct DeedPage {
    shell: Shell,
    name: String,
    batch_url: String,
    log_url: String,
    heading: &'static str,
    action: String,
    care: Vec<Words>,
    asked: Vec<Field>,
    /// Whether a picture may come with it.
    with_picture: bool,
    form: FormState,
    once: String,
    kept: Kept,
}

pub(super) fn deed_page(
    app: &App,
    member: &Member,
    desk: &Desk,
    sort: &Sort,
    form: FormState,
) -> Result<DeedPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let id = desk.opened.batch.public_id.as_str();
    let case = desk.case(member, None);
    Ok(DeedPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: desk.opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        log_url: base.link(&paths::LOG.with(&[id])),
        heading: sort.heading,
        action: base.link(&paths::WRITE.with(&[id, sort.word])),
        care: (sort.care)(&case).into_iter().map(beware).collect(),
        asked: (sort.fields)(&case),
        with_picture: sort.word == sorts::NOTE.word,
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&viewer)?,
            typed => typed.to_owned(),
        },
        kept: Kept::of(member),
        form,
    })
}

fn sort_of(word: &str) -> Result<&'static Sort, Error> {
    sorts::of_word(word).ok_or_else(Error::not_found)
}

pub(super) async fn ask(
    State(app): State<App>,
    member: Member,
    Path((id, word)): Path<(String, String)>,
) -> Answer {
    show(&app, &member, &id, sort_of(&word)?).await
}

pub(super) async fn show(app: &App, member: &Member, id: &str, sort: &Sort) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let desk = Desk::of(app, &mut conn, member, id).await?;
    let mut form = FormState::new();
    (sort.begins)(&desk.case(member, None), &mut form);
    page(&deed_page(app, member, &desk, sort, form)?)
}

pub(super) async fn log(
    State(app): State<App>,
    member: Member,
    Path((id, word)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let sort = sort_of(&word)?;
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let desk = Desk::of(&app, &mut tx, &member, &id).await?;
    let (form, entry) = read(sort, &desk.case(&member, None), &posted)?;
    let Some(entry) = entry else {
        let form = told_empty(&(sort.fields)(&desk.case(&member, None)), form);
        return form_again(&deed_page(&app, &member, &desk, sort, form)?);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::WRITE).await? {
        return see_other(app.site.base(), &location);
    }
    let number = write(
        &app,
        &mut tx,
        &member,
        &desk.opened,
        std::slice::from_ref(&entry),
    )
    .await?;
    if posted.one("all")? == "yes" {
        end(&mut tx, &desk, &entry).await?;
    }
    let location = answered(&id, number);
    once::settle(&mut tx, &once, &member, paths::WRITE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// Where no field was at fault nothing was typed: that is told beside the first.
pub(super) fn told_empty(fields: &[Field], mut form: FormState) -> FormState {
    if let Some(first) = fields.first().filter(|_| form.is_sound()) {
        form.refuse(first.name, "Nothing is written here yet.");
    }
    form
}

/// What was filled up to the last drop is done.
async fn end(conn: &mut PgConnection, desk: &Desk, entry: &NewEntry) -> Result<(), Error> {
    if !matches!(entry.deed, Deed::Package(_)) {
        return Ok(());
    }
    let ended = Some((entry.at, Ending::Bottled));
    store::end(conn, desk.opened.batch.id, ended).await?;
    Ok(())
}

/// It was not all of it: the batch goes on.
pub(super) async fn go_on(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let desk = Desk::of(&app, &mut tx, &member, &id).await?;
    store::end(&mut tx, desk.opened.batch.id, None).await?;
    tx.commit().await?;
    let path = format!("{}?done=goes-on", paths::BATCH.with(&[&id]));
    see_other(app.site.base(), &path)
}
