//! Opening the workbench: new, from another recipe, for an edit, as it was left.

use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::page::{Showing, show};
use crate::app::App;
use crate::recipes::drafts::store as drafts;
use crate::recipes::forms::{Workbench, check::stored, fill};
use crate::recipes::model::{Revision, Visibility};
use crate::recipes::public_id::PublicId;
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, see_other};
use crate::web::policy::{Action, may};
use crate::web::viewer::{Member, Viewer};

#[derive(Deserialize)]
pub(super) struct From {
    pub(super) from: Option<String>,
    pub(super) revision: Option<i32>,
}

pub(super) async fn new(
    State(app): State<App>,
    member: Member,
    Query(query): Query<From>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let mut form = match query.from.as_deref() {
        None => fill::fresh(member.settings.units),
        Some(id) => {
            let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
            let mut conn = app.pool.acquire().await?;
            let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
                .await?
                .ok_or_else(Error::not_found)?;
            let number = query.revision.unwrap_or(recipe.version);
            let revision = store::find_revision(&mut conn, viewer.id(), &id, number)
                .await?
                .ok_or_else(Error::not_found)?;
            let mut form = form_of(&revision, &member)?;
            form.set("from_recipe", id.as_str());
            form.set("from_number", number.to_string());
            form.set("title", format!("{}, my own", revision.title));
            form.set("visibility", Visibility::Private.as_str());
            form
        }
    };
    form.set(
        "draft",
        PublicId::random().map_err(Error::unexpected)?.as_str(),
    );
    show(&app, &member, form, Showing::default()).await
}

pub(super) fn form_of(revision: &Revision, member: &Member) -> Result<Workbench, Error> {
    let recipe = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    Ok(fill::fill(&recipe, member.settings.units))
}

pub(super) async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
        .await?
        .ok_or_else(Error::not_found)?;
    if !may(&viewer, Action::Change, &recipe.facts()) {
        return Err(Error::not_found());
    }
    let revision = store::find_revision(&mut conn, viewer.id(), &id, recipe.version)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    let mut form = form_of(&revision, &member)?;
    form.set("visibility", recipe.visibility.as_str());
    form.set(
        "draft",
        PublicId::random().map_err(Error::unexpected)?.as_str(),
    );
    form.set("base_version", recipe.version.to_string());
    show(
        &app,
        &member,
        form,
        Showing {
            recipe: Some(id),
            ..Showing::default()
        },
    )
    .await
}

pub(super) async fn resume(
    State(app): State<App>,
    member: Member,
    Path(draft): Path<String>,
) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let kept = drafts::find(&mut conn, member.id, &draft)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    let form = Workbench::read(&Posted::from_pairs(kept.fields))?;
    show(
        &app,
        &member,
        form,
        Showing {
            recipe: kept.recipe,
            dirty: true,
            ..Showing::default()
        },
    )
    .await
}

pub(super) async fn discard(
    State(app): State<App>,
    member: Member,
    Path(draft): Path<String>,
) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    drafts::discard(&mut conn, member.id, &draft).await?;
    see_other(app.site.base(), paths::LIST.path)
}
