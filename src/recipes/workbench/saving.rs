//! Handlers that save: once, whole, and only on top of the version that was seen.

use axum::extract::{Path, State};
use axum::http::StatusCode;

use super::choices::Choices;
use super::labels::changes;
use super::opening::form_of;
use super::page::{Meanwhile, Showing, show};
use super::pages::{draft_state, keep_draft};
use super::{assume, work};
use crate::app::App;
use crate::recipes::forms::Workbench;
use crate::recipes::model::{Revision, Visibility};
use crate::recipes::numbers::Reader;
use crate::recipes::numbers::summary::numbers_for_lists;
use crate::recipes::opened::reader_for;
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::{DraftEnd, SaveError, SaveRevision, Source, Target};
use crate::recipes::{links, paths, store};
use crate::web::day;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, see_other};
use crate::web::paths::Route;
use crate::web::viewer::Member;

pub(super) async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    keep(&app, &member, &posted, paths::CREATE, None).await
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    keep(&app, &member, &posted, paths::SAVE, Some(id)).await
}

/// Saves what was typed as a revision: once, whole, and only on top of the version that was seen.
async fn keep(
    app: &App,
    member: &Member,
    posted: &Posted,
    route: Route,
    recipe: Option<PublicId>,
) -> Answer {
    let once = Once::read(posted, member)?;
    let mut form = Workbench::read(posted)?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(app, &mut conn, member).await?;
    // Others can use the connection while this one reckons.
    drop(conn);
    let worked = work(&form, member, &reader);
    let visibility: Option<Visibility> = form.text("visibility").parse().ok();
    if !worked.checked.faults.is_empty() {
        let mut conn = app.pool.acquire().await?;
        let kept = keep_draft(app, &mut conn, member, &form, recipe.as_ref(), true).await?;
        drop(conn);
        let showing = Showing {
            recipe,
            dirty: true,
            scold: true,
            status: StatusCode::UNPROCESSABLE_ENTITY,
            draft_state: draft_state(app, member, kept.as_ref()),
            ..Showing::default()
        };
        return show(app, member, &reader, form, showing).await;
    }
    let document = serde_json::to_value(&worked.checked.recipe).map_err(Error::unexpected)?;
    let numbers = numbers_for_lists(&worked.checked.recipe, &worked.numbers);
    let draft: Option<PublicId> = form.text("draft").parse().ok();
    let from: Option<PublicId> = form.text("from_recipe").parse().ok();
    let source = from.as_ref().zip(form.text("from_number").parse().ok());
    let held = links::read(form.text("from_link"));
    let target = match &recipe {
        None => Target::New {
            visibility: visibility.unwrap_or_default(),
            started_from: source.map(|(recipe, number)| Source {
                recipe,
                number,
                held: held.as_deref(),
            }),
        },
        Some(recipe) => Target::Existing {
            recipe,
            expected_version: form.text("base_version").parse().unwrap_or(0),
            visibility,
        },
    };
    let save = SaveRevision {
        author: member.id,
        target,
        title: &worked.checked.recipe.title,
        document: &document,
        numbers: &numbers,
        note: form.text("note").trim(),
        draft: draft.as_ref().map(|draft| DraftEnd {
            draft,
            sequence: form.text("sequence").parse().ok(),
        }),
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
        return see_other(app.site.base(), &location);
    }
    match store::save_revision(&mut tx, &save, app.clock.now()).await {
        Ok(saved) => {
            let location = format!(
                "{}?saved={}{}",
                paths::SHEET.with(&[saved.recipe.as_str()]),
                saved.number,
                mixed(app, member, &form)
            );
            once::settle(&mut tx, &once, member, route, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::Conflict(theirs)) => {
            tx.rollback().await?;
            conflict(app, member, &reader, form, recipe, *theirs).await
        }
        Err(SaveError::WiderThanSource) => {
            tx.rollback().await?;
            let why = "Share it no more widely than the recipe it was started from.";
            show(
                app,
                member,
                &reader,
                form,
                refused(recipe, "visibility", why),
            )
            .await
        }
        Err(SaveError::Binned) => Err(Error::conflict(
            "This recipe lies in the bin. Put it back from the bin, then send this again.",
        )),
        Err(SaveError::SourceNotFound) => {
            tx.rollback().await?;
            form.set("from_recipe", "");
            form.set("from_number", "");
            form.set("from_link", "");
            let why = "The recipe that you started from is no longer shared with you. Save again to keep yours without the link to it.";
            show(app, member, &reader, form, refused(recipe, "title", why)).await
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Random(fault)) => Err(Error::unexpected(fault)),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

/// How the workbench is shown when something other than the typing stands in the way.
fn refused(recipe: Option<PublicId>, field: &str, why: &str) -> Showing {
    Showing {
        recipe,
        dirty: true,
        scold: true,
        status: StatusCode::UNPROCESSABLE_ENTITY,
        extra: Some((field.to_owned(), why.to_owned())),
        ..Showing::default()
    }
}

/// The mixing day that somebody chose goes along to the sheet; today is what stands there by itself.
fn mixed(app: &App, member: &Member, form: &Workbench) -> String {
    let now = app.clock.now().with_timezone(&member.settings.zone);
    let today = now.date_naive();
    let chosen = day::read(form.text("mixing_day"), today, member.settings.units);
    let chosen = chosen.filter(|day| *day != today);
    chosen.map_or(String::new(), |day| format!("&mixed={day}"))
}

/// The page of the loser of a race: both texts, nothing lost, and a way to go on.
async fn conflict(
    app: &App,
    member: &Member,
    reader: &Reader,
    mut form: Workbench,
    recipe: Option<PublicId>,
    theirs: Revision,
) -> Answer {
    let other = form_of(&theirs, reader)?;
    let mut spelled = form.clone();
    assume::spell_out(&mut spelled);
    let choices = Choices::of(&spelled, &[], reader);
    let meanwhile = Meanwhile {
        number: theirs.number,
        differences: changes(&other, &spelled, &choices, &reader.catalogue),
        author: theirs.author_name,
    };
    form.set("base_version", theirs.number.to_string());
    let mut conn = app.pool.acquire().await?;
    let kept = keep_draft(app, &mut conn, member, &form, recipe.as_ref(), true).await?;
    drop(conn);
    let showing = Showing {
        recipe,
        dirty: true,
        scold: true,
        status: StatusCode::CONFLICT,
        meanwhile: Some(meanwhile),
        draft_state: draft_state(app, member, kept.as_ref()),
        ..Showing::default()
    };
    show(app, member, reader, form, showing).await
}
