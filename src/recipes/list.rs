//! The list of recipes: one's own and the club's, searched, shelf by shelf, with the drafts below.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::browse::asked::{Asked, Chosen, Offered};
use super::browse::choices::family_name;
use super::browse::{self, Found};
use super::drafts::DraftLine;
use super::model::{Cursor, RecipeLine, Shelf, Visibility};
use super::{drafts, paths};
use crate::app::App;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::pages::{Answer, page_with};
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
    figures: Vec<String>,
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
    asked: Asked,
    offered: Offered,
    shelves: Vec<(String, String)>,
    faults: Vec<(String, String)>,
    chosen: Vec<Chosen>,
    /// How mistyped words were read.
    read_as: Vec<String>,
    entries: Vec<Entry>,
    next: Option<String>,
    /// Below the first page only.
    drafts: Option<Drafts>,
    new_url: String,
    list_url: String,
    starters_url: String,
    import_url: String,
}

struct Drafts {
    kept: Vec<DraftEntry>,
    /// Thrown away less than a day ago.
    thrown: Vec<DraftEntry>,
    just_thrown: bool,
}

impl ListPage {
    fn fault(&self, field: &str) -> &str {
        let found = self.faults.iter().find(|(at, _)| at == field);
        found.map_or("", |(_, why)| why.as_str())
    }

    /// What stands behind "Recipes" in the title: each view has its own.
    fn about(&self) -> String {
        let typed = Some(self.asked.q.trim()).filter(|typed| !typed.is_empty());
        let typed = typed.map(|typed| format!("“{typed}”"));
        let shelf =
            Some(self.asked.shelf.as_str()).filter(|shelf| !matches!(*shelf, "" | "everything"));
        let shelf = shelf.and_then(|shelf| {
            let known = self.shelves.iter().find(|(value, _)| value == shelf);
            known.map(|(_, words)| words.clone())
        });
        let chosen = self.chosen.iter().map(|chosen| chosen.words.clone());
        typed
            .into_iter()
            .chain(shelf)
            .chain(chosen)
            .collect::<Vec<_>>()
            .join(", ")
    }

    fn is_narrowed(&self) -> bool {
        !self.chosen.is_empty() || !self.faults.is_empty()
    }
}

pub(super) async fn list(
    State(app): State<App>,
    member: Member,
    Query(asked): Query<Asked>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let mut conn = app.pool.acquire().await?;
    let club = app.catalogue.for_page_of(&member, &mut conn).await?;
    let offered = Offered::to(&asked, &club);
    let (mut view, faults) = asked.read(&offered);
    view.shelf = view.shelf.open_to(&member);
    let after: Option<Cursor> = asked.after.parse().ok();
    let found = match faults.is_empty() {
        true => browse::find(&mut conn, viewer.id(), &view, after.as_ref(), PAGE).await?,
        false => Found::default(),
    };
    let drafts = match after {
        None => Some(drafts_of(&app, &mut conn, &member, asked.done == "thrown").await?),
        Some(_) => None,
    };
    drop(conn);
    let base = app.site.base();
    let address = |query: &str| base.link(&format!("{}?{query}", paths::LIST.path));
    let mut shell = app.shell(&viewer).at_place(Nav::Recipes);
    if drafts.as_ref().is_some_and(|drafts| drafts.just_thrown) {
        shell = shell.saying(
            "The draft is thrown away. For a day it can be put back, at the end of this page.",
        );
    }
    let lines = found.page.lines.iter();
    let listed = ListPage {
        shell,
        entries: lines
            .map(|line| entry(&app, line, &member, view.shelf == Shelf::Bin))
            .collect(),
        shelves: shelves(&member),
        chosen: asked.chosen(&offered, address),
        read_as: match member.book_closed {
            // Words may be those of others' recipes.
            true => Vec::new(),
            false => found.read_as.iter().map(read_words).collect(),
        },
        next: found
            .page
            .next
            .map(|next| address(&asked.query(&next.to_string()))),
        offered,
        asked,
        drafts,
        new_url: base.link(paths::NEW.path),
        list_url: base.link(paths::LIST.path),
        starters_url: base.link(paths::STARTERS.path),
        import_url: base.link(paths::IMPORT.path),
        faults,
    };
    let status = match listed.faults.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    page_with(status, &listed)
}

fn shelves(member: &Member) -> Vec<(String, String)> {
    let words = |shelf: Shelf| match shelf {
        Shelf::Everything => "mine and the club's",
        Shelf::Mine => "mine",
        Shelf::Club => "the club's",
        Shelf::Bin => "in the bin",
    };
    [Shelf::Everything, Shelf::Mine, Shelf::Club, Shelf::Bin]
        .into_iter()
        .filter(|shelf| shelf.open_to(member) == *shelf)
        .map(|shelf| (shelf.as_str().to_owned(), words(shelf).to_owned()))
        .collect()
}

/// "“heathr” was read as “heather”, too."
fn read_words((typed, meant): &(String, Vec<String>)) -> String {
    let quoted: Vec<String> = meant.iter().map(|word| format!("“{word}”")).collect();
    let quoted: Vec<&str> = quoted.iter().map(String::as_str).collect();
    format!(
        "“{typed}” was read as {}, too.",
        super::numbers::listed(&quoted)
    )
}

async fn drafts_of(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    just_thrown: bool,
) -> Result<Drafts, Error> {
    let now = app.clock.now();
    let (kept, thrown) = drafts::store::list_with_thrown(conn, member.id, 20, now).await?;
    let base = app.site.base();
    let entry = |draft: DraftLine, button: Route| DraftEntry {
        url: base.link(&paths::DRAFT.with(&[draft.draft.as_str()])),
        title: if draft.title.trim().is_empty() {
            "without a name yet".to_owned()
        } else {
            draft.title
        },
        when: moment(draft.updated_at, member.settings.zone),
        button_at: base.link(&button.with(&[draft.draft.as_str()])),
    };
    Ok(Drafts {
        kept: kept
            .into_iter()
            .map(|draft| entry(draft, paths::DISCARD))
            .collect(),
        thrown: thrown
            .into_iter()
            .map(|draft| entry(draft, paths::PUT_DRAFT_BACK))
            .collect(),
        just_thrown,
    })
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
        figures: figures(line),
        unbin_at: if binned {
            base.link(&paths::UNBIN.with(&[line.public_id.as_str()]))
        } else {
            String::new()
        },
    }
}

/// What stands in the margin of a recipe: strength and gravities; when it is good; what the club thinks of it.
fn figures(line: &RecipeLine) -> Vec<String> {
    let mut figures = vec![match (line.abv_percent, line.og, line.fg) {
        (Some(abv), Some(og), Some(fg)) => {
            let strength = super::numbers::strength(abv);
            format!(
                "{strength}, {} to {}",
                units::gravity(og),
                units::gravity(fg)
            )
        }
        _ => "not solved yet".to_owned(),
    }];
    let ready = line.ready_months.map(|months| match months {
        1 => "good after a month".to_owned(),
        12 => "good after a year".to_owned(),
        many => format!("good after {many} months"),
    });
    figures.extend(ready);
    let rated = line.rating_mean.map(|mean| {
        let members = match line.rating_count {
            1 => "one member".to_owned(),
            many => format!("{many} members"),
        };
        format!("{} of 5 by {members}", units::plain(mean, 1))
    });
    figures.extend(rated);
    figures.extend(match line.made_count {
        0 => None,
        1 => Some("made here once".to_owned()),
        2 => Some("made here twice".to_owned()),
        many => Some(format!("made here {many} times")),
    });
    figures
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
