//! Handlers of the list, the sheet and the revisions.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::forms::check::stored;
use super::model::{
    Cursor, Recipe, RecipeLine, Revision, RevisionLine, Shelf, StartedFrom, Visibility,
};
use super::numbers::steps::{StepLine, steps};
use super::numbers::{NumbersView, weighed_view};
use super::public_id::PublicId;
use super::saving::SaveError;
use super::workbench::{self, engine_settings, reader};
use super::{drafts, paths, search, store};
use crate::app::App;
use crate::catalogue::catalogue;
use crate::engine::recipe::Step;
use crate::engine::scaling::{Scale, round, scale};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, see_other};
use crate::web::paths::Routes;
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::units::{self, Units};
use crate::web::viewer::{Member, Viewer};

/// Recipes on one page of the list.
const PAGE: usize = 30;
/// Revisions on one page.
const REVISIONS: usize = 100;

/// Every route of recipes.
pub fn router() -> Router<App> {
    let own = Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::SHEET, sheet)
        .on(paths::REVISIONS, revisions)
        .on(paths::REVISION, revision)
        .on(paths::RESTORE, restore)
        .on(paths::SHARE, share)
        .on(paths::BIN, bin)
        .on(paths::UNBIN, unbin);
    workbench::pages::bind(own).done()
}

/// One recipe in a list.
struct Entry {
    url: String,
    title: String,
    words: String,
    meta: String,
    figures: String,
    unbin_at: String,
}

/// One draft in a list.
struct DraftEntry {
    url: String,
    title: String,
    when: String,
    discard_at: String,
}

#[derive(Template)]
#[template(path = "recipes/list.html")]
struct ListPage {
    shell: Shell,
    query: String,
    shelf: &'static str,
    shelves: Vec<(String, String)>,
    entries: Vec<Entry>,
    next: Option<String>,
    drafts: Vec<DraftEntry>,
    new_url: String,
    list_url: String,
}

#[derive(Deserialize)]
struct ListQuery {
    q: Option<String>,
    shelf: Option<String>,
    after: Option<String>,
}

async fn list(State(app): State<App>, member: Member, Query(query): Query<ListQuery>) -> Answer {
    let viewer = Viewer::known(member.clone());
    let typed = query.q.unwrap_or_default();
    let shelf: Shelf = query
        .shelf
        .as_deref()
        .unwrap_or_default()
        .parse()
        .unwrap_or_default();
    let after: Option<Cursor> = query.after.as_deref().and_then(|after| after.parse().ok());
    let mut conn = app.pool.acquire().await?;
    let found = if typed.trim().is_empty() {
        store::list_recipes(&mut conn, viewer.id(), shelf, after.as_ref(), PAGE).await?
    } else {
        search::search_recipes(&mut conn, viewer.id(), shelf, &typed, after.as_ref(), PAGE).await?
    };
    let kept = drafts::store::list(&mut conn, member.id, 20).await?;
    drop(conn);
    let base = app.site.base();
    let date = |at: chrono::DateTime<chrono::Utc>| day(at, &member);
    let next = found.next.as_ref().map(|cursor| {
        let pairs = [
            ("q", typed.as_str()),
            ("shelf", shelf.as_str()),
            ("after", &cursor.to_string()),
        ];
        base.link(&format!("{}?{}", paths::LIST.path, encoded(&pairs)))
    });
    let drafts = kept
        .into_iter()
        .map(|draft| DraftEntry {
            url: base.link(&paths::DRAFT.with(&[draft.draft.as_str()])),
            title: if draft.title.trim().is_empty() {
                "without a name yet".to_owned()
            } else {
                draft.title
            },
            when: date(draft.updated_at),
            discard_at: base.link(&paths::DISCARD.with(&[draft.draft.as_str()])),
        })
        .collect();
    let words = |shelf: Shelf| match shelf {
        Shelf::Everything => "mine and the club's",
        Shelf::Mine => "mine",
        Shelf::Club => "the club's",
        Shelf::Bin => "in the bin",
    };
    let shelves = [Shelf::Everything, Shelf::Mine, Shelf::Club, Shelf::Bin]
        .map(|shelf| (shelf.as_str().to_owned(), words(shelf).to_owned()));
    let page_of = ListPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        entries: found
            .lines
            .iter()
            .map(|line| entry(&app, line, &member, shelf == Shelf::Bin))
            .collect(),
        query: typed,
        shelf: shelf.as_str(),
        shelves: shelves.to_vec(),
        next,
        drafts,
        new_url: base.link(paths::NEW.path),
        list_url: base.link(paths::LIST.path),
    };
    page(&page_of)
}

fn entry(app: &App, line: &RecipeLine, member: &Member, binned: bool) -> Entry {
    let base = app.site.base();
    let by = if line.owner == member.id {
        "you".to_owned()
    } else {
        line.owner_name.clone()
    };
    let seen = match line.visibility {
        Visibility::Private => " · only you see it",
        Visibility::Club => "",
        Visibility::Link => " · seen by whoever has its link",
    };
    Entry {
        url: base.link(&paths::SHEET.with(&[line.public_id.as_str()])),
        title: line.title.clone(),
        words: list_words(line),
        meta: format!(
            "by {by} · revision {}, {}{seen}",
            line.version,
            day(line.updated_at, member)
        ),
        figures: match (line.abv_percent, line.og, line.fg) {
            (Some(abv), Some(og), Some(fg)) => {
                format!(
                    "{}, {} to {}",
                    super::numbers::strength(abv),
                    units::gravity(og),
                    units::gravity(fg)
                )
            }
            _ => "not solved yet".to_owned(),
        },
        unbin_at: if binned {
            base.link(&paths::UNBIN.with(&[line.public_id.as_str()]))
        } else {
            String::new()
        },
    }
}

/// "Dry mead of wildflower honey: fruit mead (melomel)".
fn list_words(line: &RecipeLine) -> String {
    let sweetness = line.sweetness.clone().unwrap_or_default();
    let honeys = line.honeys.join(", ");
    let family = line
        .style_family
        .as_deref()
        .map(family_name)
        .unwrap_or_default();
    let mut words = match honeys.as_str() {
        "" => format!("{sweetness} mead"),
        honeys => format!("{sweetness} mead of {honeys}"),
    };
    if !family.is_empty() {
        words = format!("{words}: {family}");
    }
    let mut letters = words.trim().chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

fn family_name(code: &str) -> String {
    let family = catalogue()
        .families()
        .iter()
        .find(|family| family.code == code);
    family.map_or_else(
        || code.to_owned(),
        |family| format!("{} ({})", family.words, family.name.to_lowercase()),
    )
}

fn day(at: chrono::DateTime<chrono::Utc>, member: &Member) -> String {
    at.with_timezone(&member.settings.zone)
        .format("%-d %B %Y")
        .to_string()
}

/// Pairs as the query of an address.
fn encoded(pairs: &[(&str, &str)]) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~".contains(&byte);
    let encode = |text: &str| {
        text.bytes()
            .map(|byte| {
                if plain(byte) {
                    (byte as char).to_string()
                } else {
                    format!("%{byte:02X}")
                }
            })
            .collect::<String>()
    };
    let pairs = pairs.iter().filter(|(_, value)| !value.is_empty());
    pairs
        .map(|(name, value)| format!("{name}={}", encode(value)))
        .collect::<Vec<_>>()
        .join("&")
}

#[derive(Template)]
#[template(path = "recipes/sheet.html")]
struct SheetPage {
    shell: Shell,
    kicker: String,
    title: String,
    by: String,
    started_from: Option<(String, Option<String>)>,
    started_here: Vec<(String, String)>,
    notes: Vec<String>,
    revision_note: String,
    volume: String,
    volume_fault: String,
    other_volume: bool,
    numbers: NumbersView,
    steps: Vec<StepLine>,
    own_steps: Vec<Step>,
    sheet_url: String,
    start_url: String,
    edit_url: Option<String>,
    revisions_url: String,
    newest_url: Option<String>,
    share: Option<ShareForm>,
    bin_at: Option<String>,
    unbin_at: Option<String>,
    restore: Option<RestoreForm>,
}

struct ShareForm {
    at: String,
    now: &'static str,
    choices: Vec<(String, String)>,
}

struct RestoreForm {
    at: String,
    version: i32,
    once: String,
}

#[derive(Deserialize)]
struct SheetQuery {
    volume: Option<String>,
    saved: Option<i32>,
    done: Option<String>,
}

async fn sheet(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<SheetQuery>,
) -> Answer {
    show_sheet(&app, &member, &id, None, query).await
}

async fn revision(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, i32)>,
    Query(query): Query<SheetQuery>,
) -> Answer {
    show_sheet(&app, &member, &id, Some(number), query).await
}

struct Found {
    recipe: Recipe,
    revision: Revision,
    started_from: Option<StartedFrom>,
    started_here: Vec<RecipeLine>,
}

async fn find(app: &App, viewer: &Viewer, id: &str, number: Option<i32>) -> Result<Found, Error> {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
        .await?
        .ok_or_else(Error::not_found)?;
    let number = number.unwrap_or(recipe.version);
    let revision = store::find_revision(&mut conn, viewer.id(), &id, number)
        .await?
        .ok_or_else(Error::not_found)?;
    let started_from = store::find_started_from(&mut conn, viewer.id(), &id).await?;
    let started_here = store::list_started_here(&mut conn, viewer.id(), &id, 20).await?;
    Ok(Found {
        recipe,
        revision,
        started_from,
        started_here,
    })
}

async fn show_sheet(
    app: &App,
    member: &Member,
    id: &str,
    number: Option<i32>,
    query: SheetQuery,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let found = find(app, &viewer, id, number).await?;
    let owns =
        may(&viewer, Action::Change, &found.recipe.facts()) || found.recipe.owner == member.id;
    let document = stored(&found.revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    let settings = engine_settings(&viewer);
    let unit = member.settings.units;
    let typed = query.volume.unwrap_or_default();
    let at_home = crate::engine::formulate(&document, &settings)
        .whole
        .map(|whole| whole.volume_l);
    let (wanted, volume_fault) = match typed.trim() {
        "" => (None, String::new()),
        text => match units::parse_volume(text, unit) {
            Ok(litres) => (Some(litres), String::new()),
            Err(fault) => (None, fault.to_string()),
        },
    };
    let recipe = match (wanted, at_home.or(document.volume_l)) {
        (Some(wanted), Some(own)) if own > 0.0 => scale(&document, wanted / own),
        _ => document,
    };
    let rounded = round(&recipe, &settings, Scale::Kitchen);
    let numbers = weighed_view(&recipe, &rounded, &reader(&viewer, app.clock.now()));
    let base = app.site.base();
    let public_id = found.recipe.public_id.as_str();
    let newest = found.revision.number == found.recipe.version;
    let binned = found.recipe.binned_at.is_some();
    let number_text = found.revision.number.to_string();
    let mut shell = app.shell(&viewer).at_place(Nav::Recipes);
    match (query.saved, query.done.as_deref()) {
        (Some(number), _) => shell = shell.saying(format!("Saved as revision {number}.")),
        (None, Some("shared")) => shell = shell.saying("Who may see it is changed."),
        (None, Some("binned")) => {
            shell = shell.saying("In the bin for 30 days. Put it back from here, or from the list of what lies in the bin.");
        }
        (None, Some("unbinned")) => shell = shell.saying("Back from the bin."),
        _ => {}
    }
    let shown_volume = match (&typed, &rounded.weighed.whole) {
        (text, _) if !text.trim().is_empty() => typed.clone(),
        (_, Some(whole)) => units::volume(whole.volume_l, unit),
        _ => String::new(),
    };
    let maker = if found.recipe.owner == member.id {
        "you".to_owned()
    } else {
        found.recipe.owner_name.clone()
    };
    let family = numbers.family.clone();
    let seen = match found.recipe.visibility {
        Visibility::Private => "seen by you alone",
        Visibility::Club => "seen by the club",
        Visibility::Link => "seen by whoever has its link",
    };
    let kicker = [
        family,
        format!(
            "revision {} of {}",
            found.revision.number, found.recipe.version
        ),
        seen.to_owned(),
    ];
    let page_of = SheetPage {
        shell,
        kicker: kicker
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" · "),
        title: found.revision.title.clone(),
        by: format!("by {maker}, {}", day(found.revision.created_at, member)),
        started_from: found.started_from.map(|from| source_words(app, &from)),
        started_here: found
            .started_here
            .iter()
            .map(|line| {
                let url = base.link(&paths::SHEET.with(&[line.public_id.as_str()]));
                (url, format!("{} by {}", line.title, line.owner_name))
            })
            .collect(),
        notes: recipe
            .notes
            .lines()
            .filter(|line| !line.trim().is_empty())
            .map(str::to_owned)
            .collect(),
        revision_note: note_words(&found.revision.note, found.revision.restored_from),
        volume: shown_volume,
        volume_fault,
        other_volume: wanted.is_some(),
        steps: steps(&recipe, &rounded.weighed, unit),
        own_steps: recipe.process.clone(),
        numbers,
        sheet_url: match newest {
            true => base.link(&paths::SHEET.with(&[public_id])),
            false => base.link(&paths::REVISION.with(&[public_id, &number_text])),
        },
        start_url: base.link(&format!(
            "{}?from={public_id}&revision={number_text}",
            paths::NEW.path
        )),
        edit_url: (owns && newest && !binned).then(|| base.link(&paths::EDIT.with(&[public_id]))),
        revisions_url: base.link(&paths::REVISIONS.with(&[public_id])),
        newest_url: (!newest).then(|| base.link(&paths::SHEET.with(&[public_id]))),
        share: (owns && newest && !binned).then(|| ShareForm {
            at: base.link(&paths::SHARE.with(&[public_id])),
            now: found.recipe.visibility.as_str(),
            choices: share_choices(),
        }),
        bin_at: (owns && newest && !binned).then(|| base.link(&paths::BIN.with(&[public_id]))),
        unbin_at: (owns && binned).then(|| base.link(&paths::UNBIN.with(&[public_id]))),
        restore: match owns && !newest && !binned {
            true => Some(RestoreForm {
                at: base.link(&paths::RESTORE.with(&[public_id, &number_text])),
                version: found.recipe.version,
                once: Once::fresh(&viewer)?,
            }),
            false => None,
        },
    };
    page(&page_of)
}

/// Who may see a recipe, in words. A link of its own comes later; until then two choices.
pub fn share_choices() -> Vec<(String, String)> {
    vec![
        ("private".to_owned(), "only I".to_owned()),
        ("club".to_owned(), "the club, all its revisions".to_owned()),
    ]
}

fn note_words(note: &str, restored_from: Option<i32>) -> String {
    match (restored_from, note.trim()) {
        (Some(number), "") => format!("Revision {number} brought back."),
        (Some(number), note) => format!("Revision {number} brought back. {note}"),
        (None, note) => note.to_owned(),
    }
}

/// Where it was started from: words, and an address while the reader may see it.
fn source_words(app: &App, from: &StartedFrom) -> (String, Option<String>) {
    let number = from.number.to_string();
    match (&from.recipe, &from.title) {
        (Some(recipe), Some(title)) => (
            format!("{title} by {}, revision {number}", from.author_name),
            Some(
                app.site
                    .base()
                    .link(&paths::REVISION.with(&[recipe.as_str(), &number])),
            ),
        ),
        _ => (
            format!("a recipe by {}, revision {number}", from.author_name),
            None,
        ),
    }
}

/// One revision in the list.
struct RevisionEntry {
    number: i32,
    url: String,
    title: String,
    note: String,
    meta: String,
    figures: String,
    restore_at: Option<String>,
}

#[derive(Template)]
#[template(path = "recipes/revisions.html")]
struct RevisionsPage {
    shell: Shell,
    title: String,
    sheet_url: String,
    entries: Vec<RevisionEntry>,
    older: Option<String>,
    version: i32,
    once: String,
}

#[derive(Deserialize)]
struct RevisionsQuery {
    before: Option<i32>,
}

async fn revisions(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<RevisionsQuery>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
        .await?
        .ok_or_else(Error::not_found)?;
    let lines = store::list_revisions(&mut conn, viewer.id(), &id, query.before, REVISIONS).await?;
    drop(conn);
    let owns = may(&viewer, Action::Change, &recipe.facts());
    let base = app.site.base();
    let older = lines
        .last()
        .filter(|line| lines.len() == REVISIONS && line.number > 1)
        .map(|line| {
            base.link(&format!(
                "{}?before={}",
                paths::REVISIONS.with(&[id.as_str()]),
                line.number
            ))
        });
    let entry = |line: &RevisionLine| {
        let number = line.number.to_string();
        RevisionEntry {
            number: line.number,
            url: base.link(&paths::REVISION.with(&[id.as_str(), &number])),
            title: line.title.clone(),
            note: note_words(&line.note, line.restored_from),
            meta: format!("by {}, {}", line.author_name, day(line.created_at, &member)),
            figures: figures(line, member.settings.units),
            restore_at: (owns && line.number != recipe.version)
                .then(|| base.link(&paths::RESTORE.with(&[id.as_str(), &number]))),
        }
    };
    let page_of = RevisionsPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        title: recipe.title.clone(),
        sheet_url: base.link(&paths::SHEET.with(&[id.as_str()])),
        entries: lines.iter().map(entry).collect(),
        older,
        version: recipe.version,
        once: Once::fresh(&viewer)?,
    };
    page(&page_of)
}

fn figures(line: &RevisionLine, units: Units) -> String {
    match (line.abv_percent, line.og, line.fg, line.honey_kg) {
        (Some(abv), Some(og), Some(fg), Some(honey)) => format!(
            "{}, {} to {}, {} of honey",
            super::numbers::strength(abv),
            units::gravity(og),
            units::gravity(fg),
            units::mass(honey, units)
        ),
        _ => "not solved yet".to_owned(),
    }
}

async fn restore(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, i32)>,
    posted: Posted,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let once = Once::read(&posted, &member)?;
    let seen: i32 = posted
        .one("base_version")?
        .parse()
        .map_err(|_| Error::bad_request("Open the revisions again, and choose from there."))?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::RESTORE).await? {
        return see_other(app.site.base(), &location);
    }
    match store::restore(&mut tx, member.id, &id, number, seen, app.clock.now()).await {
        Ok(saved) => {
            let location = format!(
                "{}?saved={}",
                paths::SHEET.with(&[id.as_str()]),
                saved.number
            );
            once::settle(&mut tx, &once, &member, paths::RESTORE, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::Conflict(theirs)) => Err(Error::conflict(format!(
            "Revision {} was saved since you opened this page. Look at the revisions again before you go back to an old one.",
            theirs.number
        ))),
        Err(SaveError::Binned) => Err(Error::conflict(
            "This recipe lies in the bin. Put it back first.",
        )),
        Err(SaveError::NotFound | SaveError::SourceNotFound | SaveError::WiderThanSource) => {
            Err(Error::not_found())
        }
        Err(SaveError::Random(fault)) => Err(Error::unexpected(fault)),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

async fn share(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let wanted: Visibility = posted
        .one("visibility")?
        .parse()
        .map_err(|()| Error::bad_request("Choose who may see the recipe, on its sheet."))?;
    let mut conn = app.pool.acquire().await?;
    match store::share(&mut conn, member.id, &id, wanted).await {
        Ok(()) => see_other(
            app.site.base(),
            &format!("{}?done=shared", paths::SHEET.with(&[id.as_str()])),
        ),
        Err(SaveError::WiderThanSource) => Err(Error::bad_request(
            "Share it no more widely than the recipe it was started from.",
        )),
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(_) => Err(Error::not_found()),
    }
}

async fn bin(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    match store::bin(&mut conn, member.id, &id, app.clock.now()).await? {
        true => see_other(
            app.site.base(),
            &format!("{}?done=binned", paths::SHEET.with(&[id.as_str()])),
        ),
        false => Err(Error::not_found()),
    }
}

async fn unbin(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    match store::unbin(&mut conn, member.id, &id).await? {
        true => see_other(
            app.site.base(),
            &format!("{}?done=unbinned", paths::SHEET.with(&[id.as_str()])),
        ),
        false => Err(Error::not_found()),
    }
}
