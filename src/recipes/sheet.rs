//! The sheet of a recipe: as read and printed, at its own volume or another.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;

use super::list::{day, encoded};
use super::method_pages::links;
use super::model::{Recipe, StartedFrom, Visibility};
use super::numbers::steps::StepLine;
use super::numbers::{NumbersView, Piece};
use super::opened::{Opened, Told, open};
use super::opinions::shown::{OpinionsView, opinions};
use super::revisions::note_words;
use super::workbench::choices::share_choices;
use super::{paths, store};
use crate::app::App;
use crate::batches;
use crate::engine::recipe::Step;
use crate::web::once::Once;
use crate::web::pages::{Answer, page_with};
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

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
    mixed: String,
    mixed_fault: String,
    /// The mixing day in full, where one is given.
    mixing_day: String,
    tools: Vec<Vec<Piece>>,
    long_and_short: String,
    shopping_url: String,
    numbers: NumbersView,
    steps: Vec<StepLine>,
    own_steps: Vec<Step>,
    sheet_url: String,
    own_volume_url: String,
    start_url: String,
    swap_url: String,
    scale_url: String,
    batch_url: String,
    edit_url: Option<String>,
    revisions_url: String,
    document_url: String,
    newest_url: Option<String>,
    /// What is new in it, against what came before it and what it was started from.
    changes: Vec<(&'static str, String)>,
    lineage_url: String,
    compare_url: String,
    tastings_url: String,
    share: Option<ShareForm>,
    bin_at: Option<String>,
    unbin_at: Option<String>,
    restore: Option<RestoreForm>,
    opinions: Option<OpinionsView>,
    /// How its batches were liked, by their age.
    ageing: Option<batches::ageing::AgeingPart>,
}

struct ShareForm {
    at: String,
    now: &'static str,
    choices: Vec<(String, String)>,
    links_url: String,
}

struct RestoreForm {
    at: String,
    version: i32,
    once: String,
}

#[derive(Deserialize)]
pub(super) struct SheetQuery {
    volume: Option<String>,
    mixed: Option<String>,
    saved: Option<i32>,
    done: Option<String>,
}

pub(super) async fn sheet(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<SheetQuery>,
) -> Answer {
    show_sheet(&app, &member, &id, None, query).await
}

pub(super) async fn revision(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, i32)>,
    Query(query): Query<SheetQuery>,
) -> Answer {
    show_sheet(&app, &member, &id, Some(number), query).await
}

async fn show_sheet(
    app: &App,
    member: &Member,
    id: &str,
    number: Option<i32>,
    query: SheetQuery,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let typed = query.volume.unwrap_or_default();
    let mixed = query.mixed.unwrap_or_default();
    let opened = open(app, member, id, number, &typed, &mixed).await?;
    let newest = opened.is_newest();
    let links = links(
        app,
        &opened.recipe,
        &opened.revision,
        opened.wanted,
        opened.mixing_day,
    );
    let shopping_url = links.shopping.clone();
    let Told {
        numbers,
        steps,
        tools,
        long_and_short,
    } = opened.told(links);
    let (shown_volume, notes) = (opened.shown_volume(&typed), opened.notes());
    let Opened {
        recipe,
        revision,
        document,
        wanted,
        volume_fault,
        mixing_day,
        mixed_fault,
        ..
    } = opened;
    let owns = may(&viewer, Action::Change, &recipe.facts()) || recipe.owner == member.id;
    let mut conn = app.pool.acquire().await?;
    let started_from = store::find_started_from(&mut conn, viewer.id(), &recipe.public_id).await?;
    let started_here =
        store::list_started_here(&mut conn, viewer.id(), &recipe.public_id, 20).await?;
    let opinions = opinions(app, &mut conn, member, &recipe, revision.number).await?;
    let ageing = batches::ageing::of_recipe(&mut conn, member.id, &recipe.public_id).await?;
    drop(conn);
    let base = app.site.base();
    let public_id = recipe.public_id.as_str();
    let binned = recipe.binned_at.is_some();
    let number_text = revision.number.to_string();
    let here = match newest {
        true => base.link(&paths::SHEET.with(&[public_id])),
        false => base.link(&paths::REVISION.with(&[public_id, &number_text])),
    };
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
    let maker = if recipe.owner == member.id {
        "you".to_owned()
    } else {
        recipe.owner_name.clone()
    };
    let family = numbers.family.clone();
    let seen = match recipe.visibility {
        Visibility::Private => "seen by you alone",
        Visibility::Club => "seen by the club",
        Visibility::Link => "seen by whoever has a link",
    };
    let kicker = [
        family,
        format!("revision {} of {}", revision.number, recipe.version),
        seen.to_owned(),
    ];
    let page_of = SheetPage {
        shell,
        kicker: kicker
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" · "),
        title: revision.title.clone(),
        by: format!("by {maker}, {}", day(revision.created_at, member)),
        changes: ways_to_changes(app, &recipe, revision.number, started_from.as_ref()),
        started_from: started_from.map(|from| source_words(app, &from)),
        started_here: started_here
            .iter()
            .map(|line| {
                let url = base.link(&paths::SHEET.with(&[line.recipe.as_str()]));
                (url, format!("{} by {}", line.title, line.owner_name))
            })
            .collect(),
        notes,
        revision_note: note_words(&revision.note, revision.restored_from),
        volume: shown_volume,
        volume_fault,
        other_volume: wanted.is_some(),
        mixed,
        mixed_fault,
        mixing_day: mixing_day.map_or(String::new(), |day| day.format("%A %-d %B %Y").to_string()),
        tools,
        long_and_short,
        shopping_url,
        steps,
        own_steps: document.process,
        numbers,
        own_volume_url: match mixing_day {
            Some(day) => format!("{here}?{}", encoded(&[("mixed", &day.to_string())])),
            None => here.clone(),
        },
        swap_url: base.link(&format!(
            "{}?revision={number_text}",
            paths::SWAP.with(&[public_id])
        )),
        scale_url: base.link(&format!(
            "{}?revision={number_text}",
            paths::SCALE.with(&[public_id])
        )),
        batch_url: base.link(&format!(
            "{}?recipe={public_id}&revision={number_text}",
            batches::paths::NEW.path
        )),
        sheet_url: here,
        start_url: base.link(&format!(
            "{}?from={public_id}&revision={number_text}",
            paths::NEW.path
        )),
        edit_url: (owns && newest && !binned).then(|| base.link(&paths::EDIT.with(&[public_id]))),
        document_url: base.link(&format!(
            "{}?revision={number_text}",
            paths::DOCUMENT.with(&[public_id])
        )),
        revisions_url: base.link(&paths::REVISIONS.with(&[public_id])),
        newest_url: (!newest).then(|| base.link(&paths::SHEET.with(&[public_id]))),
        share: (owns && newest && !binned).then(|| ShareForm {
            at: base.link(&paths::SHARE.with(&[public_id])),
            now: recipe.visibility.as_str(),
            choices: share_choices(),
            links_url: base.link(&paths::LINKS.with(&[public_id])),
        }),
        lineage_url: base.link(&paths::LINEAGE.with(&[public_id])),
        tastings_url: base.link(&format!(
            "{}?recipe={public_id}",
            crate::tastings::paths::LIST.path
        )),
        compare_url: base.link(&format!(
            "{}?revision={number_text}",
            paths::COMPARE.with(&[public_id])
        )),
        bin_at: (owns && newest && !binned).then(|| base.link(&paths::BIN.with(&[public_id]))),
        unbin_at: (owns && binned).then(|| base.link(&paths::UNBIN.with(&[public_id]))),
        restore: match owns && !newest && !binned {
            true => Some(RestoreForm {
                at: base.link(&paths::RESTORE.with(&[public_id, &number_text])),
                version: recipe.version,
                once: Once::fresh(&viewer)?,
            }),
            false => None,
        },
        opinions: Some(opinions),
        ageing,
    };
    let status = match page_of.volume_fault.is_empty() && page_of.mixed_fault.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    page_with(status, &page_of)
}

/// Where it is told what this revision changed.
fn ways_to_changes(
    app: &App,
    recipe: &Recipe,
    number: i32,
    started_from: Option<&StartedFrom>,
) -> Vec<(&'static str, String)> {
    let at = paths::CHANGES.with(&[recipe.public_id.as_str(), &number.to_string()]);
    let base = app.site.base();
    let since = (number > 1).then(|| ("what changed", base.link(&at)));
    let source = started_from.and_then(|from| {
        let pairs = [
            ("of", from.recipe.as_ref()?.as_str()),
            ("since", &from.number.to_string()),
        ];
        let url = base.link(&format!("{at}?{}", encoded(&pairs)));
        Some(("what differs from where it started", url))
    });
    since.into_iter().chain(source).collect()
}

/// Where it was started from: words, and an address while the reader may see it.
fn source_words(app: &App, from: &StartedFrom) -> (String, Option<String>) {
    let number = from.number.to_string();
    let by = from
        .author_name
        .as_deref()
        .map(|name| format!(" by {name}"));
    let by = by.unwrap_or_default();
    match (&from.recipe, &from.title) {
        (Some(recipe), Some(title)) => (
            format!("{title}{by}, revision {number}"),
            Some(
                app.site
                    .base()
                    .link(&paths::REVISION.with(&[recipe.as_str(), &number])),
            ),
        ),
        _ => (format!("a recipe{by}, revision {number}"), None),
    }
}
