//! The page of what a revision changed: each change with what it does alone, then all of them together.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::{in_short, one_at_a_time};
use crate::app::App;
use crate::recipes::compare::{Change, Compared, Side, compare, moved};
use crate::recipes::method_pages::general;
use crate::recipes::model::Revision;
use crate::recipes::numbers::{Links, Reader};
use crate::recipes::opened::reader_for;
use crate::recipes::public_id::PublicId;
use crate::recipes::revisions::note_words;
use crate::recipes::workbench::choices::Choices;
use crate::recipes::workbench::labels::changes;
use crate::recipes::workbench::pages::form_of;
use crate::recipes::workbench::work;
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::Member;
use crate::web::viewer::Viewer;

/// One change and what it does by itself.
struct Step {
    changes: Vec<Change>,
    /// What moves, in words: "strength from 10 % to 12 %".
    does: Vec<String>,
}

/// One of the two revisions.
struct Beside {
    url: String,
    words: String,
}

#[derive(Template)]
#[template(path = "recipes/changes.html")]
struct ChangesPage {
    shell: Shell,
    title: String,
    sheet_url: String,
    before: Beside,
    after: Beside,
    note: String,
    steps: Vec<Step>,
    compared: Compared,
    links: Links,
}

#[derive(Deserialize)]
pub(in crate::recipes) struct Since {
    /// The number of the revision before; the one just before this if it is not said.
    since: Option<i32>,
    /// The recipe whose revision that is; this recipe if it is not said.
    of: Option<String>,
}

pub(in crate::recipes) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, i32)>,
    Query(query): Query<Since>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let (from, since) = before(&mut conn, &viewer, &id, number, query).await?;
    let old = find(&mut conn, &viewer, &from, since).await?;
    let new = find(&mut conn, &viewer, &id, number).await?;
    drop(conn);
    let (steps, compared) = told(&member, &reader, &old, &new)?;
    let base = app.site.base();
    let beside = |recipe: &PublicId, revision: &Revision| Beside {
        url: base.link(&paths::REVISION.with(&[recipe.as_str(), &revision.number.to_string()])),
        words: match *recipe == id {
            true => format!("revision {}", revision.number),
            false => format!(
                "{} by {}, revision {}",
                revision.title, revision.author_name, revision.number
            ),
        },
    };
    page(&ChangesPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        sheet_url: base.link(&paths::SHEET.with(&[id.as_str()])),
        before: beside(&from, &old),
        after: beside(&id, &new),
        note: note_words(&new.note, new.restored_from),
        title: new.title,
        steps,
        compared,
        links: general(&app),
    })
}

/// The recipe and number of the revision before: as asked, else the one just before, else the one that it was started from.
async fn before(
    conn: &mut PgConnection,
    viewer: &Viewer,
    id: &PublicId,
    number: i32,
    query: Since,
) -> Result<(PublicId, i32), Error> {
    let of = query.of.filter(|of| !of.is_empty());
    if let Some(of) = of {
        let of = of.parse().map_err(|_| Error::not_found())?;
        return Ok((of, query.since.ok_or_else(Error::not_found)?));
    }
    if let Some(since) = query.since {
        return Ok((id.clone(), since));
    }
    if number > 1 {
        return Ok((id.clone(), number - 1));
    }
    let source = store::find_started_from(conn, viewer.id(), id).await?;
    let source = source.and_then(|from| Some((from.recipe?, from.number)));
    source.ok_or_else(Error::not_found)
}

async fn find(
    conn: &mut PgConnection,
    viewer: &Viewer,
    recipe: &PublicId,
    number: i32,
) -> Result<Revision, Error> {
    store::find_revision(conn, viewer.id(), recipe, number)
        .await?
        .ok_or_else(Error::not_found)
}

/// Every change with what it does alone, and all of them together.
fn told(
    member: &Member,
    reader: &Reader,
    old: &Revision,
    new: &Revision,
) -> Result<(Vec<Step>, Compared), Error> {
    let (before, after) = (form_of(old, reader)?, form_of(new, reader)?);
    let choices = Choices::of(&after, &[], reader);
    let start = work(&before, member, reader);
    let steps = one_at_a_time(&before, &after, &reader.catalogue)
        .into_iter()
        .map(|form| {
            let reckoned = work(&form, member, reader);
            let does = match reckoned.counted {
                true => moved(&start.view, &reckoned.view)
                    .iter()
                    .map(
                        |Change {
                             label,
                             before,
                             after,
                         }| { format!("{label} from {before} to {after}") },
                    )
                    .collect(),
                false => vec!["only together with the others".to_owned()],
            };
            Step {
                changes: in_short(changes(&before, &form, &choices, &reader.catalogue)),
                does,
            }
        });
    let mut steps: Vec<Step> = steps.filter(|step| !step.changes.is_empty()).collect();
    // What moves a number comes before mere words.
    steps.sort_by_key(|step| step.does.is_empty());
    let end = work(&after, member, reader);
    let compared = compare(&Side::of(&start), &Side::of(&end), reader.units);
    Ok((steps, compared))
}
