//! The page that a link to a recipe opens, for strangers and members.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderValue, StatusCode};
use serde::Deserialize;
use sqlx::PgConnection;

use super::structured;
use crate::app::App;
use crate::cupboard::stock::Stock;
use crate::engine::recipe::Step;
use crate::members::forms::UNITS;
use crate::recipes::links::{Linked, store};
use crate::recipes::list::encoded;
use crate::recipes::method_pages::general;
use crate::recipes::numbers::shopping::{Shopping, list};
use crate::recipes::numbers::steps::StepLine;
use crate::recipes::numbers::{Links, NumbersView, Piece, Reader};
use crate::recipes::opened::{Told, reader_for, reckoned};
use crate::recipes::paths;
use crate::recipes::workbench::reader;
use crate::web::data_block::DataBlock;
use crate::web::dates;
use crate::web::error::Error;
use crate::web::headers::ROBOTS;
use crate::web::money::Currency;
use crate::web::pages::{Answer, page_with};
use crate::web::policy::{Action, may};
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::units;
use crate::web::viewer::Viewer;

#[derive(Template)]
#[template(path = "recipes/shared.html")]
struct SharedPage {
    shell: Shell,
    structured: DataBlock,
    searchable: bool,
    kicker: String,
    title: String,
    by: String,
    /// The owner's own sheet, where the owner looks.
    own_url: Option<String>,
    here: String,
    volume: String,
    volume_fault: String,
    other_volume: bool,
    mixed: String,
    mixed_fault: String,
    mixing_day: String,
    /// The units that a stranger chose; members have theirs.
    units: Option<&'static str>,
    start_url: String,
    signed_in: bool,
    numbers: NumbersView,
    steps: Vec<StepLine>,
    tools: Vec<Vec<Piece>>,
    long_and_short: String,
    own_steps: Vec<Step>,
    notes: Vec<String>,
    shopping: Shopping,
    currency: Currency,
    links: Links,
}

impl SharedPage {
    const UNITS: &'static [(&'static str, &'static str)] = UNITS;

    /// A price as it is printed.
    fn money(&self, cost: &f64) -> String {
        units::fixed(*cost, self.currency.decimals())
    }
}

#[derive(Deserialize)]
pub(in crate::recipes) struct SharedQuery {
    volume: Option<String>,
    mixed: Option<String>,
    units: Option<String>,
}

pub(in crate::recipes) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    Query(query): Query<SharedQuery>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let linked = find(&app, &mut conn, &viewer, &token).await?;
    let reader = reader_of(&app, &mut conn, &viewer, query.units.as_deref()).await?;
    drop(conn);
    let searchable = linked.terms.searchable;
    let shown = sheet(&app, &viewer, &token, linked, reader, &query)?;
    let sound = shown.volume_fault.is_empty() && shown.mixed_fault.is_empty();
    let status = match sound {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let mut response = page_with(status, &shown)?;
    if searchable {
        let headers = response.headers_mut();
        headers.insert(ROBOTS, HeaderValue::from_static("all"));
    }
    Ok(response)
}

/// What the link opens. Whatever is wrong with a link looks the same.
async fn find(
    app: &App,
    conn: &mut PgConnection,
    viewer: &Viewer,
    token: &str,
) -> Result<Linked, Error> {
    let held = random::hash_of(token);
    let linked = store::find_linked(conn, &held).await?;
    let linked = linked
        .filter(|linked| may(viewer, Action::See, &linked.facts()))
        .ok_or_else(Error::not_found)?;
    if viewer.id() != Some(linked.recipe.owner) {
        store::note_opening(conn, &held, app.clock.now().date_naive()).await?;
    }
    Ok(linked)
}

/// A member reads in their own units, a stranger in those chosen on the page.
async fn reader_of(
    app: &App,
    conn: &mut PgConnection,
    viewer: &Viewer,
    chosen: Option<&str>,
) -> Result<Reader, Error> {
    if let Some(member) = viewer.member() {
        return reader_for(app, conn, member).await;
    }
    let catalogue = app.catalogue.now(conn).await?;
    let own = reader(viewer, app.clock.now(), catalogue);
    let chosen = chosen.and_then(|word| word.parse().ok());
    Ok(Reader {
        units: chosen.unwrap_or(own.units),
        cupboard: Stock::of([], app.site.currency()),
        ..own
    })
}

fn sheet(
    app: &App,
    viewer: &Viewer,
    token: &str,
    linked: Linked,
    reader: Reader,
    query: &SharedQuery,
) -> Result<SharedPage, Error> {
    let typed = query.volume.clone().unwrap_or_default();
    let mixed = query.mixed.clone().unwrap_or_default();
    let units = reader.units;
    let zone = reader.zone;
    let opened = reckoned(
        linked.recipe.clone(),
        linked.revision.clone(),
        reader,
        &typed,
        &mixed,
    )?;
    let told = opened.told(general(app));
    let structured = structured::block(&linked, &opened, &told);
    let base = app.site.base();
    let saved = dates::day(linked.revision.created_at, zone);
    let chosen = viewer.member().is_none().then(|| units.word());
    let here = base.link(&paths::SHARED.with(&[token]));
    let Told {
        numbers,
        steps,
        tools,
        long_and_short,
    } = told;
    let family = Some(numbers.family.clone()).filter(|family| !family.is_empty());
    let kicker = family.into_iter().chain(["shared by link".to_owned()]);
    Ok(SharedPage {
        shell: app.shell(viewer),
        structured,
        searchable: linked.terms.searchable,
        kicker: kicker.collect::<Vec<_>>().join(" · "),
        by: match linked.terms.signed {
            true => format!("by {}, {saved}", linked.recipe.owner_name),
            false => format!("of {saved}"),
        },
        own_url: (viewer.id() == Some(linked.recipe.owner))
            .then(|| base.link(&paths::SHEET.with(&[linked.recipe.public_id.as_str()]))),
        volume: opened.shown_volume(&typed),
        volume_fault: opened.volume_fault.clone(),
        other_volume: opened.wanted.is_some(),
        mixed,
        mixed_fault: opened.mixed_fault.clone(),
        mixing_day: opened
            .mixing_day
            .map_or(String::new(), |day| day.format("%A %-d %B %Y").to_string()),
        units: chosen,
        start_url: base.link(&format!(
            "{}?{}",
            paths::NEW.path,
            encoded(&[("shared", token)])
        )),
        signed_in: viewer.member().is_some(),
        currency: app.site.currency(),
        shopping: list(&opened.document, &opened.rounded.weighed, &opened.reader),
        notes: opened.notes(),
        own_steps: opened.document.process,
        title: linked.revision.title,
        here,
        numbers,
        steps,
        tools,
        long_and_short,
        links: general(app),
    })
}
