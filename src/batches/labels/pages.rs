//! The pages of labels: which bottles, on which sheet, and the sheets themselves.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderValue, header};
use axum::response::IntoResponse;
use serde::Deserialize;

use super::model::Label;
use super::paths;
use super::sheets::{SHEETS, Sheet, of_word};
use crate::app::App;
use crate::batches;
use crate::batches::cellar::model::Lot;
use crate::batches::cellar::{self, store};
use crate::batches::opened::{Opened, open_own};
use crate::members::second::picture::Picture;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::pages::{Answer, form_again, page};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::units;
use crate::web::units::parse_whole;
use crate::web::viewer::{Member, Viewer};

/// The most labels that are printed at once.
const MOST: i32 = 2_000;

/// The routes of labels.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::LABELS, ask)
        .on(paths::PRINT, print)
        .on(paths::STYLE, style)
        .done()
}

/// What is asked for, as typed.
#[derive(Deserialize, Default)]
struct Asked {
    lot: Option<String>,
    sheet: Option<String>,
    count: Option<String>,
    start: Option<String>,
}

/// What is asked for, read.
struct Wanted<'a> {
    lot: &'a Lot,
    sheet: &'static Sheet,
    count: usize,
    start: usize,
}

/// Reads it; faults stand in the form.
fn wanted<'a>(asked: &Asked, lots: &'a [Lot]) -> (FormState, Option<Wanted<'a>>) {
    let mut form = FormState::new();
    let text = |field: &Option<String>| field.as_deref().unwrap_or_default().trim().to_owned();
    let (lot, sheet) = (text(&asked.lot), text(&asked.sheet));
    let (count, start) = (text(&asked.count), text(&asked.start));
    for (field, typed) in [
        ("lot", &lot),
        ("sheet", &sheet),
        ("count", &count),
        ("start", &start),
    ] {
        form.set(field, typed.clone());
    }
    let chosen = lots.iter().find(|one| one.public_id == lot);
    if chosen.is_none() {
        form.refuse("lot", "Choose which filling.");
    }
    let kind = of_word(&sheet);
    if kind.is_none() {
        form.refuse("sheet", "Choose a kind of sheet.");
    }
    let many = parse_whole(&count, 1, MOST).ok();
    if many.is_none() {
        form.refuse("count", "Write how many labels, such as 24; at most 2000.");
    }
    let most = kind.map_or(MOST, |sheet| sheet.labels() as i32);
    let first = match start.as_str() {
        "" => Some(1),
        typed => parse_whole(typed, 1, most).ok(),
    };
    if first.is_none() {
        form.refuse(
            "start",
            format!("Write the place of the first label that is not used yet, from 1 to {most}."),
        );
    }
    let whole = |number: i32| number.unsigned_abs() as usize;
    let wanted = chosen.zip(kind).zip(many.zip(first));
    let wanted = wanted.map(|((lot, sheet), (count, start))| Wanted {
        lot,
        sheet,
        count: whole(count),
        start: whole(start),
    });
    (form, wanted)
}

#[derive(Template)]
#[template(path = "batches/labels/choose.html")]
struct ChoosePage {
    shell: Shell,
    name: String,
    batch_url: String,
    bottling_url: String,
    action: String,
    /// Labels for all bottles that are left, without another word.
    all_url: String,
    lots: Vec<(String, String)>,
    sheets: Vec<(String, String)>,
    form: FormState,
}

fn choose_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    lots: &[Lot],
    form: FormState,
) -> ChoosePage {
    let base = app.site.base();
    let id = opened.batch.public_id.as_str();
    let reader = cellar::pages::reader(app, member);
    let action = base.link(&paths::PRINT.with(&[id]));
    let (lot, count) = first(lots);
    let all_url = format!(
        "{action}?lot={lot}&sheet={}&count={count}&start=1",
        usual_sheet(member)
    );
    ChoosePage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&batches::paths::BATCH.with(&[id])),
        bottling_url: base.link(&batches::bottling::paths::BOTTLING.with(&[id])),
        action,
        all_url,
        lots: lots
            .iter()
            .map(|lot| {
                let row = cellar::LotRow::of(lot, &reader);
                (lot.public_id.clone(), format!("{}, {}", row.left, row.meta))
            })
            .collect(),
        sheets: SHEETS
            .iter()
            .map(|sheet| (sheet.word.to_owned(), sheet.name()))
            .collect(),
        form,
    }
}

/// The bottles that labels are for where nothing else is chosen, and how many of them are left.
fn first(lots: &[Lot]) -> (&str, i64) {
    let first = lots.iter().find(|lot| lot.left() > 0).or(lots.first());
    let count = first.filter(|lot| !lot.keg).map_or(1, Lot::left);
    let count = count.clamp(1, MOST.into());
    (first.map_or("", |lot| lot.public_id.as_str()), count)
}

/// The kind of sheet that is offered first, by the paper of the member's part of the world.
fn usual_sheet(member: &Member) -> &'static str {
    match member.settings.units {
        units::Units::Us => "letter-10",
        units::Units::Metric | units::Units::Imperial => "a4-14",
    }
}

async fn ask(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let lots = store::lots(&mut conn, member.id, Some(&opened.batch.public_id)).await?;
    let (lot, count) = first(&lots);
    let mut form = FormState::new();
    form.set("lot", lot);
    let usual = usual_sheet(&member).to_owned();
    form.set("sheet", asked.sheet.unwrap_or(usual));
    form.set("count", count.to_string());
    form.set("start", "1");
    page(&choose_page(&app, &member, &opened, &lots, form))
}

#[derive(Template)]
#[template(path = "batches/labels/print.html")]
struct PrintPage {
    shell: Shell,
    name: String,
    style_url: String,
    back_url: String,
    sheet: String,
    is_low: bool,
    label: Label,
    picture: Option<Picture>,
    /// The labels of each sheet; false for a place that is used already.
    pages: Vec<Vec<Option<()>>>,
}

async fn print(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let lots = store::lots(&mut conn, member.id, Some(&opened.batch.public_id)).await?;
    drop(conn);
    let (form, wanted) = wanted(&asked, &lots);
    let Some(wanted) = wanted else {
        let again = choose_page(&app, &member, &opened, &lots, form);
        return form_again(&again);
    };
    let base = app.site.base();
    let bottle = base.link(&cellar::paths::BOTTLE.with(&[&wanted.lot.code]));
    let file = format!("{}.css", wanted.sheet.word);
    page(&PrintPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        style_url: base.link(&paths::STYLE.with(&[&file])),
        back_url: base.link(&paths::LABELS.with(&[&id])),
        sheet: wanted.sheet.name(),
        is_low: wanted.sheet.is_low(),
        label: Label::of(&opened, wanted.lot, member.settings.zone),
        picture: Picture::of(&format!("{}{bottle}", app.site.origin())),
        pages: wanted.sheet.spread(&(), wanted.count, wanted.start),
    })
}

/// The stylesheet of a kind of sheet.
async fn style(Path(file): Path<String>) -> Answer {
    let sheet = file.strip_suffix(".css").and_then(of_word);
    let sheet = sheet.ok_or_else(Error::not_found)?;
    let kind = [(
        header::CONTENT_TYPE,
        HeaderValue::from_static("text/css; charset=utf-8"),
    )];
    Ok((kind, sheet.style()).into_response())
}
