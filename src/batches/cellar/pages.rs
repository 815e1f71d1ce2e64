//! The pages of the cellar, bound to their routes.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::forms;
use super::model::{Lot, Taken, TakenFor};
use super::view::{LotRow, Reader, taken_words};
use super::{opening, paths, store};
use crate::app::App;
use crate::batches;
use crate::batches::start::Speaks;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// The routes of the cellar.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::CELLAR, cellar)
        .on(paths::LOT, show)
        .on(paths::TAKE, take)
        .on(paths::KEEP, keep)
        .on(paths::PUT_BACK, put_back)
        .on(paths::BOTTLE, opening::show)
        .on(paths::OPEN, opening::open)
        .done()
}

/// Where and when a member speaks.
pub fn speaks(app: &App, member: &Member) -> Speaks {
    Speaks {
        units: member.settings.units,
        zone: member.settings.zone,
        now: app.clock.now(),
    }
}

/// A member as the reader of a cellar.
pub fn reader<'a>(app: &'a App, member: &Member) -> Reader<'a> {
    Reader {
        base: app.site.base(),
        units: member.settings.units,
        zone: member.settings.zone,
        today: speaks(app, member).today(),
    }
}

/// The lots of one batch.
struct OfBatch {
    name: String,
    url: String,
    lots: Vec<LotRow>,
}

#[derive(Template)]
#[template(path = "batches/cellar/cellar.html")]
struct CellarPage {
    shell: Shell,
    /// Bottles kept back whose day has come: words and address.
    due: Vec<(String, String)>,
    batches: Vec<OfBatch>,
    empty: Vec<OfBatch>,
    batches_url: String,
}

/// Lots by their batches, in their order.
fn grouped(lots: &[Lot], reader: &Reader<'_>) -> Vec<OfBatch> {
    let mut all: Vec<OfBatch> = Vec::new();
    for lot in lots {
        let path = batches::paths::BATCH.with(&[lot.batch.as_str()]);
        let url = reader.base.link(&path);
        let row = LotRow::of(lot, reader);
        match all.iter_mut().find(|one| one.url == url) {
            Some(one) => one.lots.push(row),
            None => all.push(OfBatch {
                name: lot.batch_name.clone(),
                url,
                lots: vec![row],
            }),
        }
    }
    all
}

async fn cellar(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let lots = store::lots(&mut conn, member.id, None).await?;
    drop(conn);
    let reader = reader(&app, &member);
    let due = lots.iter().filter(|lot| lot.is_kept_time(reader.today));
    let (there, gone): (Vec<Lot>, Vec<Lot>) = lots.iter().cloned().partition(|lot| lot.left() > 0);
    page(&CellarPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        due: due
            .map(|lot| {
                let words = format!("{} of {}", super::view::bottles(lot.kept()), lot.batch_name);
                (words, reader.base.link(&paths::LOT.with(&[&lot.public_id])))
            })
            .collect(),
        batches: grouped(&there, &reader),
        empty: grouped(&gone, &reader),
        batches_url: reader.base.link(batches::paths::LIST.path),
    })
}

/// What was taken, as a line.
struct TakenRow {
    when: String,
    words: String,
    /// Where it is put back; empty where it was.
    back_at: String,
}

#[derive(Template)]
#[template(path = "batches/cellar/lot.html")]
struct LotPage {
    shell: Shell,
    cellar_url: String,
    batch_url: String,
    labels_url: String,
    bottle_url: String,
    name: String,
    /// What stands on their labels.
    code: String,
    row: LotRow,
    kept: i64,
    is_keg: bool,
    taken: Vec<TakenRow>,
    take_at: String,
    keep_at: String,
    reasons: Vec<(&'static str, &'static str)>,
    /// The form that takes some out.
    form: FormState,
    /// The form that says where the rest lies.
    keeping: FormState,
    once: String,
}

/// What stands in the form that takes some out, first.
fn takes_one(lot: &Lot) -> FormState {
    let mut form = FormState::new();
    if !lot.keg {
        form.set("bottles", "1");
    }
    form.set("why", TakenFor::Drunk.word());
    form
}

/// What stands in the form that says where they lie, first.
fn as_kept(lot: &Lot) -> FormState {
    let mut form = FormState::new();
    form.set("place", lot.place.clone());
    form.set("kept", lot.kept().to_string());
    let until = lot.kept_until.map(|day| day.to_string());
    form.set("kept_until", until.unwrap_or_default());
    form
}

async fn lot_page(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    lot: &Lot,
    (form, keeping): (FormState, FormState),
) -> Result<LotPage, Error> {
    let viewer = Viewer::known(member.clone());
    let reader = reader(app, member);
    let at = |route: Route| reader.base.link(&route.with(&[&lot.public_id]));
    let taken = store::taken(conn, lot.id).await?;
    let batch = lot.batch.as_str();
    let told = |one: &Taken| taken_words(lot, one, reader.units);
    Ok(LotPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        cellar_url: reader.base.link(paths::CELLAR.path),
        batch_url: reader.base.link(&batches::paths::BATCH.with(&[batch])),
        labels_url: reader
            .base
            .link(&batches::labels::paths::LABELS.with(&[batch])),
        bottle_url: reader.base.link(&paths::BOTTLE.with(&[&lot.code])),
        name: lot.batch_name.clone(),
        code: batches::labels::model::spaced(&lot.code),
        row: LotRow::of(lot, &reader),
        kept: lot.kept(),
        is_keg: lot.keg,
        taken: taken
            .iter()
            .map(|one| TakenRow {
                when: day(one.at, reader.zone),
                words: match (one.put_back_at.is_some(), one.by_name == member.name) {
                    (true, _) => format!("{}; put back", told(one)),
                    (false, true) => told(one),
                    (false, false) => format!("{}, by {}", told(one), one.by_name),
                },
                back_at: match one.put_back_at {
                    Some(_) => String::new(),
                    None => reader
                        .base
                        .link(&paths::PUT_BACK.with(&[&lot.public_id, &one.public_id])),
                },
            })
            .collect(),
        take_at: at(paths::TAKE),
        keep_at: at(paths::KEEP),
        reasons: TakenFor::ALL
            .into_iter()
            .map(|why| (why.word(), why.words()))
            .collect(),
        once: Once::for_form(&form, &viewer)?,
        form,
        keeping,
    })
}

async fn found(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Lot, Error> {
    let lot = store::lot(conn, member.id, id).await?;
    lot.ok_or_else(Error::not_found)
}

#[derive(Deserialize)]
struct Told {
    done: Option<String>,
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let lot = found(&mut conn, &member, &id).await?;
    let mut shown = lot_page(
        &app,
        &member,
        &mut conn,
        &lot,
        (takes_one(&lot), as_kept(&lot)),
    )
    .await?;
    let words = match told.done.as_deref() {
        Some("taken") => "Noted: what is left is below.",
        Some("kept") => "Saved.",
        Some("back") => "Put back.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

async fn take(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, paths::TAKE).await? {
        return see_other(app.site.base(), &to);
    }
    let lot = found(&mut tx, &member, &id).await?;
    store::hold(&mut tx, lot.id).await?;
    // Whoever waited for another sees what that one left.
    let lot = found(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let Some(taking) = forms::taking(&mut typed, speaks(&app, &member), &lot)? else {
        let forms = (typed.form, as_kept(&lot));
        return form_again(&lot_page(&app, &member, &mut tx, &lot, forms).await?);
    };
    let public_id = random::public_id()?;
    let now = app.clock.now();
    store::take(&mut tx, (&lot, member.id), &public_id, &taking, now).await?;
    let to = format!("{}?done=taken", paths::LOT.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::TAKE, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

async fn keep(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let lot = found(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let Some(keeping) = forms::keeping(&mut typed, speaks(&app, &member), &lot)? else {
        let forms = (takes_one(&lot), typed.form);
        return form_again(&lot_page(&app, &member, &mut tx, &lot, forms).await?);
    };
    let kept = (keeping.kept_back, keeping.kept_until);
    store::save(&mut tx, lot.id, &keeping.place, kept).await?;
    tx.commit().await?;
    let to = format!("{}?done=kept", paths::LOT.with(&[&id]));
    see_other(app.site.base(), &to)
}

async fn put_back(
    State(app): State<App>,
    member: Member,
    Path((id, taken)): Path<(String, String)>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let lot = found(&mut tx, &member, &id).await?;
    store::put_back(&mut tx, lot.id, &taken, app.clock.now()).await?;
    tx.commit().await?;
    let to = format!("{}?done=back", paths::LOT.with(&[&id]));
    see_other(app.site.base(), &to)
}
