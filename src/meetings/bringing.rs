//! What members put down for tasting, and the order in which it is poured.

use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::brought::of_revision;
use super::model::Brought;
use super::pages::{found, meeting_page, own, told};
use super::{forms, paths, pouring, store};
use crate::app::App;
use crate::engine::allergens;
use crate::recipes::model::Shelf;
use crate::recipes::public_id::PublicId;
use crate::recipes::store as recipes;
use crate::recipes::workbench::engine_settings;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, see_other};
use crate::web::random;
use crate::web::viewer::{Member, Role, Viewer};

/// Recipes that can be put down: one's own and the club's, the newest first.
pub(super) async fn choices(
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<(String, String)>, Error> {
    let shelf = Shelf::Everything.open_to(member);
    let found = recipes::list_recipes(conn, Some(member.id), shelf, None, 100).await?;
    let named = found.lines.into_iter().map(|line| {
        let by = match line.owner == member.id {
            true => String::new(),
            false => format!(", by {}", line.owner_name),
        };
        (line.public_id.to_string(), format!("{}{by}", line.title))
    });
    Ok(
        std::iter::once((String::new(), "none: in words of my own".to_owned()))
            .chain(named)
            .collect(),
    )
}

/// A revision as it is put down; `None` where the member may not see it.
async fn of_recipe(
    conn: &mut PgConnection,
    member: &Member,
    put: &forms::Put,
    recipe: &str,
) -> Result<Option<Brought>, Error> {
    let Ok(id) = recipe.parse::<PublicId>() else {
        return Ok(None);
    };
    let viewer = Some(member.id);
    let found = recipes::find_with_revision(conn, viewer, &id, put.number).await?;
    let Some((_, revision)) = found else {
        return Ok(None);
    };
    let settings = engine_settings(&Viewer::known(member.clone()));
    let mut brought = of_revision(&revision, &settings);
    if !put.words.is_empty() {
        brought.words = put.words.clone();
    }
    brought.beware = put.beware.clone();
    Ok(Some(brought))
}

pub(super) async fn bring(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let meeting = found(&mut tx, &id).await?;
    let once = Once::read(&posted, &member)?;
    let (put, mut form) = forms::put(&posted)?;
    let brought = match &put.recipe {
        _ if !form.is_sound() => None,
        Some(recipe) => {
            let brought = of_recipe(&mut tx, &member, &put, recipe).await?;
            if brought.is_none() {
                form.refuse(
                    "recipe",
                    "Choose a recipe of the list, and one of its revisions.",
                );
            }
            brought
        }
        None => Some(Brought {
            allergens: allergens::of_words(&put.words)
                .into_iter()
                .map(str::to_owned)
                .collect(),
            words: put.words,
            recipe: None,
            abv_percent: None,
            fg: None,
            beware: put.beware,
        }),
    };
    let Some(brought) = brought else {
        return form_again(&meeting_page(&app, &member, &mut tx, &meeting, form).await?);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::BRING).await? {
        return see_other(app.site.base(), &location);
    }
    let pour = random::public_id()?;
    if !store::bring(&mut tx, &id, member.id, &pour, &brought, app.clock.now()).await? {
        return Err(Error::conflict(
            "Nothing was put down: the meeting was called off, or its list is full.",
        ));
    }
    let location = format!("{}?done=brought", paths::MEETING.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::BRING, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

pub(super) async fn take_off(
    State(app): State<App>,
    member: Member,
    Path((id, pour)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let keeps = member.role == Role::Keeper;
    match store::take_off(&mut conn, &id, member.id, keeps, &pour).await? {
        true => told(&app, &id, "off"),
        false => Err(Error::not_found()),
    }
}

/// Moves something one place up or down the list as it is poured now.
pub(super) async fn move_pour(
    State(app): State<App>,
    member: Member,
    Path((id, pour)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let up = match posted.one("way")? {
        "up" => true,
        "down" => false,
        _ => return Err(Error::bad_request("Choose up or down.")),
    };
    let mut tx = app.pool.begin().await?;
    own(&mut tx, &member, &id).await?;
    store::lock(&mut tx, &id).await?;
    let pours = pouring::ordered(store::pours(&mut tx, member.id, &id).await?);
    let mut order: Vec<String> = pours.into_iter().map(|pour| pour.public_id).collect();
    let at = order.iter().position(|known| *known == pour);
    let at = at.ok_or_else(Error::not_found)?;
    let to = if up { at.saturating_sub(1) } else { at + 1 };
    if to < order.len() {
        order.swap(at, to);
    }
    store::put_order(&mut tx, &id, &order).await?;
    tx.commit().await?;
    see_other(
        app.site.base(),
        &format!("{}#pouring", paths::MEETING.with(&[&id])),
    )
}

pub(super) async fn suggest(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    own(&mut tx, &member, &id).await?;
    store::put_order(&mut tx, &id, &[]).await?;
    tx.commit().await?;
    told(&app, &id, "suggested")
}
