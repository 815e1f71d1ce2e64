//! The revisions of a recipe, and bringing an old one back.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::list::day;
use super::model::RevisionLine;
use super::public_id::PublicId;
use super::saving::SaveError;
use super::{numbers, paths, store};
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, see_other};
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::units::{self, Units};
use crate::web::viewer::{Member, Viewer};

/// Revisions on one page.
const PAGE: usize = 100;

/// One revision in the list.
struct RevisionEntry {
    number: i32,
    url: String,
    title: String,
    note: String,
    meta: String,
    figures: String,
    /// What it changed, where something stands before it.
    changes: Option<String>,
    restore: Option<Restore>,
}

/// A form that brings a revision back; each has a key of its own, for each does another thing.
struct Restore {
    at: String,
    once: String,
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
}

#[derive(Deserialize)]
pub(super) struct RevisionsQuery {
    before: Option<i32>,
}

pub(super) async fn revisions(
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
    let lines = store::list_revisions(&mut conn, viewer.id(), &id, query.before, PAGE).await?;
    drop(conn);
    let owns = may(&viewer, Action::Change, &recipe.facts()) && recipe.binned_at.is_none();
    let base = app.site.base();
    let older = lines
        .last()
        .filter(|line| lines.len() == PAGE && line.number > 1)
        .map(|line| {
            base.link(&format!(
                "{}?before={}",
                paths::REVISIONS.with(&[id.as_str()]),
                line.number
            ))
        });
    let entry = |line: &RevisionLine| -> Result<RevisionEntry, Error> {
        let number = line.number.to_string();
        let restore = match owns && line.number != recipe.version {
            true => Some(Restore {
                at: base.link(&paths::RESTORE.with(&[id.as_str(), &number])),
                once: Once::fresh(&viewer)?,
            }),
            false => None,
        };
        Ok(RevisionEntry {
            number: line.number,
            url: base.link(&paths::REVISION.with(&[id.as_str(), &number])),
            title: line.title.clone(),
            note: note_words(&line.note, line.restored_from),
            meta: format!("by {}, {}", line.author_name, day(line.created_at, &member)),
            figures: figures(line, member.settings.units),
            changes: (line.number > 1)
                .then(|| base.link(&paths::CHANGES.with(&[id.as_str(), &number]))),
            restore,
        })
    };
    let page_of = RevisionsPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        title: recipe.title.clone(),
        sheet_url: base.link(&paths::SHEET.with(&[id.as_str()])),
        entries: lines.iter().map(entry).collect::<Result<_, _>>()?,
        older,
        version: recipe.version,
    };
    page(&page_of)
}

fn figures(line: &RevisionLine, units: Units) -> String {
    match (line.abv_percent, line.og, line.fg, line.honey_kg) {
        (Some(abv), Some(og), Some(fg), Some(honey)) => format!(
            "{}, {} to {}, {} of honey",
            numbers::strength(abv),
            units::gravity(og),
            units::gravity(fg),
            units::mass(honey, units)
        ),
        _ => "not solved yet".to_owned(),
    }
}

pub(super) async fn restore(
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

pub(super) fn note_words(note: &str, restored_from: Option<i32>) -> String {
    match (restored_from, note.trim()) {
        (Some(number), "") => format!("Revision {number} brought back."),
        (Some(number), note) => format!("Revision {number} brought back. {note}"),
        (None, note) => note.to_owned(),
    }
}
