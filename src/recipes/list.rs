//! The list of recipes: one's own and the club's, searched, shelf by shelf, with the drafts below.

use askama::Template;
use axum::extract::{Query, State};
use chrono::{DateTime, Utc};
use serde::Deserialize;

use super::drafts::DraftLine;
use super::model::{Cursor, RecipeLine, Shelf, Visibility};
use super::{drafts, paths, search, store};
use crate::app::App;
use crate::catalogue::catalogue;
use crate::web::dates::moment;
use crate::web::pages::{Answer, page};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

/// Recipes on one page of the list.
const PAGE: usize = 30;

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
    /// Where its button leads: thrown away, or put back.
    button_at: String,
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
    /// Thrown away less than a day ago.
    thrown: Vec<DraftEntry>,
    just_thrown: bool,
    new_url: String,
    list_url: String,
    starters_url: String,
    import_url: String,
}

#[derive(Deserialize)]
pub(super) struct ListQuery {
    q: Option<String>,
    shelf: Option<String>,
    after: Option<String>,
    /// What was done just now.
    done: Option<String>,
}

pub(super) async fn list(
    State(app): State<App>,
    member: Member,
    Query(query): Query<ListQuery>,
) -> Answer {
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
    let thrown = drafts::store::list_thrown(&mut conn, member.id, 20, app.clock.now()).await?;
    drop(conn);
    let base = app.site.base();
    let next = found.next.as_ref().map(|cursor| {
        let pairs = [
            ("q", typed.as_str()),
            ("shelf", shelf.as_str()),
            ("after", &cursor.to_string()),
        ];
        base.link(&format!("{}?{}", paths::LIST.path, encoded(&pairs)))
    });
    let draft_entry = |draft: DraftLine, button: Route| DraftEntry {
        url: base.link(&paths::DRAFT.with(&[draft.draft.as_str()])),
        title: if draft.title.trim().is_empty() {
            "without a name yet".to_owned()
        } else {
            draft.title
        },
        when: moment(draft.updated_at, member.settings.zone),
        button_at: base.link(&button.with(&[draft.draft.as_str()])),
    };
    let drafts = kept
        .into_iter()
        .map(|draft| draft_entry(draft, paths::DISCARD));
    let thrown = thrown
        .into_iter()
        .map(|draft| draft_entry(draft, paths::PUT_DRAFT_BACK));
    let words = |shelf: Shelf| match shelf {
        Shelf::Everything => "mine and the club's",
        Shelf::Mine => "mine",
        Shelf::Club => "the club's",
        Shelf::Bin => "in the bin",
    };
    let shelves = [Shelf::Everything, Shelf::Mine, Shelf::Club, Shelf::Bin]
        .map(|shelf| (shelf.as_str().to_owned(), words(shelf).to_owned()));
    let just_thrown = query.done.as_deref() == Some("thrown");
    let mut shell = app.shell(&viewer).at_place(Nav::Recipes);
    if just_thrown {
        shell = shell.saying(
            "The draft is thrown away. For a day it can be put back, at the end of this page.",
        );
    }
    let page_of = ListPage {
        shell,
        entries: found
            .lines
            .iter()
            .map(|line| entry(&app, line, &member, shelf == Shelf::Bin))
            .collect(),
        query: typed,
        shelf: shelf.as_str(),
        shelves: shelves.to_vec(),
        next,
        drafts: drafts.collect(),
        thrown: thrown.collect(),
        just_thrown,
        new_url: base.link(paths::NEW.path),
        list_url: base.link(paths::LIST.path),
        starters_url: base.link(paths::STARTERS.path),
        import_url: base.link(paths::IMPORT.path),
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

pub(super) fn day(at: DateTime<Utc>, member: &Member) -> String {
    at.with_timezone(&member.settings.zone)
        .format("%-d %B %Y")
        .to_string()
}

/// Pairs as the query of an address; those without a value are left out.
pub(super) fn encoded(pairs: &[(&str, &str)]) -> String {
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
