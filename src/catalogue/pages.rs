//! Pages that everybody may read: the list by kind, and one entry.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::club::ClubCatalogue;
use super::colour::Class;
use super::facts::{self, FormLine, Section};
use super::item::{Group, Item};
use super::own::{Sort, store};
use super::pairing::partner_of;
use super::{Kind, keeping, past, paths};
use crate::app::App;
use crate::recipes::pairings::paths::PAIRINGS;
use crate::web::error::Error;
use crate::web::once::Once;
use crate::web::pages::{Answer, page, see_other};
use crate::web::paths::Routes;
use crate::web::policy::{Action, Facts, may};
use crate::web::shell::Shell;
use crate::web::viewer::Viewer;

/// The catalogue's routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::ENTRY, show)
        .on(paths::NEW, keeping::new)
        .on(paths::CREATE, keeping::create)
        .on(paths::EDIT, keeping::edit)
        .on(paths::SAVE, keeping::save)
        .on(paths::HISTORY, past::show)
        .on(paths::BRING_BACK, past::bring_back)
        .on(paths::WITHDRAW, past::withdraw)
        .on(paths::PUT_BACK, past::put_back)
        .done()
}

/// What this viewer sees of the catalogue: the club's own entries are the members'.
pub(super) async fn seen_by(app: &App, viewer: &Viewer) -> Result<ClubCatalogue, Error> {
    if !may(viewer, Action::TakePart, &Facts::default()) {
        return Ok(ClubCatalogue::default());
    }
    let mut conn = app.pool.acquire().await?;
    Ok(app.catalogue.now(&mut conn).await?)
}

/// Whether this viewer edits the club's own entries.
fn keeps(viewer: &Viewer) -> bool {
    may(viewer, Action::KeepClub, &Facts::default())
}

/// One thing in a list.
struct Line {
    url: String,
    name: String,
    words: String,
    /// The group it stands in, and whether it is the club's own.
    meta: String,
}

/// The things of one group.
struct Shelf {
    word: &'static str,
    heading: &'static str,
    url: String,
    lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "catalogue/list.html")]
struct ListPage {
    shell: Shell,
    title: &'static str,
    list_url: String,
    query: String,
    kind: String,
    kinds: Vec<(&'static str, &'static str)>,
    /// Everything, shelf by shelf, when nothing is asked for.
    shelves: Vec<Shelf>,
    /// What was asked for.
    found: Option<Vec<Line>>,
    /// Where the keeper adds an entry: address and words.
    adds: Vec<(String, &'static str)>,
}

#[derive(Deserialize)]
pub(super) struct Asked {
    q: Option<String>,
    kind: Option<String>,
}

async fn list(State(app): State<App>, viewer: Viewer, Query(asked): Query<Asked>) -> Answer {
    let seen = seen_by(&app, &viewer).await?;
    let query = asked.q.unwrap_or_default();
    let group = Group::from_word(asked.kind.as_deref().unwrap_or_default());
    let line = |item: Item<'_>| line(&app, item);
    let asked_for = !query.trim().is_empty() || group.is_some();
    let found = asked_for.then(|| seen.search(&query, group).into_iter().map(line).collect());
    let shelves = Group::all()
        .filter(|_| !asked_for)
        .map(|group| Shelf {
            word: group.word(),
            heading: group.heading(),
            url: list_of(&app, group),
            lines: seen.search("", Some(group)).into_iter().map(line).collect(),
        })
        .filter(|shelf| !shelf.lines.is_empty());
    let kinds = Group::all().map(|group| (group.word(), group.heading()));
    let adds = Sort::ALL.into_iter().filter(|_| keeps(&viewer));
    page(&ListPage {
        shell: app.shell(&viewer),
        title: group.map_or("Catalogue", Group::heading),
        list_url: app.site.base().link(paths::LIST.path),
        shelves: shelves.collect(),
        found,
        kinds: std::iter::once(("", "everything")).chain(kinds).collect(),
        adds: adds
            .map(|sort| (new_of(&app, sort, ""), add_words(sort)))
            .collect(),
        kind: group.map_or("", Group::word).to_owned(),
        query,
    })
}

fn line(app: &App, item: Item<'_>) -> Line {
    let group = item.group().heading();
    Line {
        url: entry_of(app, item.key()),
        name: item.name().to_owned(),
        words: item.words().to_owned(),
        meta: match is_own(item.key()) {
            true => format!("{group} · the club’s own"),
            false => group.to_owned(),
        },
    }
}

/// With a capital in front, and without a full stop behind, which the page sets.
fn sentence(words: &str) -> String {
    let mut letters = words.trim_end_matches('.').chars();
    let first = letters.next();
    first
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

/// Whether a key is that of one of the club's own entries.
pub(super) fn is_own(key: &str) -> bool {
    key.starts_with(super::own::KEY_PREFIX)
}

pub(super) fn entry_of(app: &App, key: &str) -> String {
    app.site.base().link(&paths::ENTRY.with(&[key]))
}

fn list_of(app: &App, group: Group) -> String {
    let path = format!("{}?kind={}", paths::LIST.path, group.word());
    app.site.base().link(&path)
}

fn new_of(app: &App, sort: Sort, from: &str) -> String {
    let path = paths::NEW.with(&[sort.word()]);
    app.site.base().link(&match from {
        "" => path,
        from => format!("{path}?from={from}"),
    })
}

fn add_words(sort: Sort) -> &'static str {
    match sort {
        Sort::Ingredient => "Add an ingredient of the club’s own",
        Sort::Yeast => "Add a yeast",
        Sort::Feed => "Add a feed",
    }
}

/// What the keeper does with an own entry.
struct Keeping {
    edit_url: String,
    /// Withdraws it, or puts it back.
    action: String,
    words: &'static str,
    once: String,
    version: i32,
}

#[derive(Template)]
#[template(path = "catalogue/entry.html")]
struct EntryPage {
    shell: Shell,
    name: String,
    group: &'static str,
    group_url: String,
    words: String,
    caution: Option<String>,
    note: Option<String>,
    sections: Vec<Section>,
    forms: Vec<FormLine>,
    /// Of an own entry: how it came to be.
    history_url: Option<String>,
    by: String,
    withdrawn: bool,
    keeping: Option<Keeping>,
    /// Where a keeper starts an own entry from this one.
    start_url: Option<String>,
    /// Where it is told what goes with it, and in what words.
    pairings: Option<(String, &'static str)>,
}

impl EntryPage {
    fn swatch(class: &Class) -> String {
        class.words().replace(' ', "-")
    }
}

#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Path(key): Path<String>,
    Query(query): Query<Done>,
) -> Answer {
    let seen = seen_by(&app, &viewer).await?;
    let item = seen.item(&key).ok_or_else(Error::not_found)?;
    if seen.jar(&key).is_some() {
        return see_other(app.site.base(), &crate::shelf::page_of(&key));
    }
    let units = viewer.settings().units;
    let shell = app.shell(&viewer);
    let group = item.group();
    let sort = match item {
        Item::Ingredient(_) => Some(Sort::Ingredient),
        Item::Yeast(_) => Some(Sort::Yeast),
        Item::Feed(_) => Some(Sort::Feed),
        _ => None,
    };
    let mut shown = EntryPage {
        shell: match query.done.as_deref() {
            Some("saved") => shell.saying("Saved. Recipes that hold it stay as they are."),
            Some("withdrawn") => shell.saying("Withdrawn: no new recipe is offered it."),
            Some("back") => shell.saying("Offered again."),
            _ => shell,
        },
        name: item.name().to_owned(),
        group: group.heading(),
        group_url: list_of(&app, group),
        words: sentence(item.words()),
        caution: item.caution().map(str::to_owned),
        note: item.note().map(sentence),
        sections: facts::sections(item, units),
        forms: facts::forms_of(item),
        history_url: None,
        by: String::new(),
        withdrawn: false,
        keeping: None,
        start_url: sort
            .filter(|_| keeps(&viewer))
            .map(|sort| new_of(&app, sort, &key)),
        pairings: pairings_of(&app, item),
    };
    if is_own(&key) {
        own_lines(&app, &viewer, &key, &mut shown).await?;
    }
    page(&shown)
}

/// Where it is told what a honey goes with, or which honeys go with something.
fn pairings_of(app: &App, item: Item<'_>) -> Option<(String, &'static str)> {
    let Item::Ingredient(entry) = item else {
        return None;
    };
    let (field, words) = match entry.kind {
        Kind::Honey => ("honey", "What goes with this honey"),
        _ => ("beside", "Which honeys go with it"),
    };
    let told = entry.kind == Kind::Honey || partner_of(&entry.key).is_some();
    let path = format!("{}?{field}={}", PAIRINGS.path, entry.key);
    told.then(|| (app.site.base().link(&path), words))
}

/// Adds what only an own entry has: who wrote it, its history, and what the keeper may do.
async fn own_lines(
    app: &App,
    viewer: &Viewer,
    key: &str,
    shown: &mut EntryPage,
) -> Result<(), Error> {
    let mut conn = app.pool.acquire().await?;
    let kept = store::find(&mut conn, key)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    let base = app.site.base();
    shown.history_url = Some(base.link(&paths::HISTORY.with(&[key])));
    shown.by = format!(
        "The club’s own, revision {} by {}",
        kept.version, kept.author_name
    );
    shown.withdrawn = kept.withdrawn;
    if keeps(viewer) {
        let (route, words) = match kept.withdrawn {
            true => (paths::PUT_BACK, "Offer it again"),
            false => (paths::WITHDRAW, "Withdraw it"),
        };
        shown.keeping = Some(Keeping {
            edit_url: base.link(&paths::EDIT.with(&[key])),
            action: base.link(&route.with(&[key])),
            words,
            once: Once::fresh(viewer)?,
            version: kept.version,
        });
    }
    Ok(())
}
