//! What a member adds to an order: a recipe of theirs at a volume, or a plain amount.

use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::forms;
use super::model::{Honey, Want};
use super::pages::{Whole, found, order_page, told};
use super::{paths, store};
use crate::app::App;
use crate::recipes::forms::check::stored;
use crate::recipes::honey::{needs, own_volume, wanted};
use crate::recipes::model::Shelf;
use crate::recipes::public_id::PublicId;
use crate::recipes::store as recipes;
use crate::recipes::workbench::engine_settings;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, see_other};
use crate::web::random;
use crate::web::viewer::{Member, Viewer};

/// What can be chosen.
#[derive(Default)]
pub(super) struct Adding {
    pub honeys: Vec<(String, String)>,
    pub recipes: Vec<(String, String)>,
}

/// The honeys on offer and the member's own recipes.
pub(super) async fn choices(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    whole: &Whole,
) -> Result<Adding, Error> {
    if whole.order.phase(app.clock.now()) != super::model::Phase::Open {
        return Ok(Adding::default());
    }
    let mine = recipes::list_recipes(conn, Some(member.id), Shelf::Mine, None, 100).await?;
    let titled = mine
        .lines
        .into_iter()
        .map(|line| (line.public_id.to_string(), line.title));
    Ok(Adding {
        honeys: whole
            .honeys
            .iter()
            .map(|honey| (honey.public_id.clone(), honey.offer.name.clone()))
            .collect(),
        recipes: std::iter::once((String::new(), "none: a plain amount".to_owned()))
            .chain(titled)
            .collect(),
    })
}

/// What a chosen recipe takes of the chosen honey.
async fn planned(
    member: &Member,
    conn: &mut PgConnection,
    honey: &Honey,
    recipe: &str,
    litres: Option<f64>,
) -> Result<Result<Want, (&'static str, &'static str)>, Error> {
    const NOT_YOURS: (&str, &str) = ("recipe", "Choose one of your recipes.");
    const NO_NUMBERS: (&str, &str) = (
        "recipe",
        "This recipe does not come out at that volume, or has no honey. Its sheet says why; or write an amount instead.",
    );
    let Ok(id) = recipe.parse::<PublicId>() else {
        return Ok(Err(NOT_YOURS));
    };
    let found = recipes::find_recipe(&mut *conn, Some(member.id), &id).await?;
    let Some(found) = found.filter(|recipe| recipe.owner == member.id) else {
        return Ok(Err(NOT_YOURS));
    };
    let revision = recipes::find_revision(conn, Some(member.id), &id, found.version).await?;
    let Some(document) = revision.and_then(|revision| stored(&revision.document)) else {
        return Ok(Err(NO_NUMBERS));
    };
    let settings = engine_settings(&Viewer::known(member.clone()));
    let Some(litres) = litres.or_else(|| own_volume(&document, &settings)) else {
        return Ok(Err(NO_NUMBERS));
    };
    let kg = wanted(
        &needs(&document, litres, &settings),
        honey.offer.key.as_deref(),
    );
    Ok(match kg > 0.0 && kg <= 10_000.0 {
        true => Ok(Want {
            honey: honey.public_id.clone(),
            kg,
            planned: Some((id.to_string(), found.version, litres)),
        }),
        false => Err(NO_NUMBERS),
    })
}

pub(super) async fn add(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let whole = found(&mut tx, &member, &id).await?;
    let once = Once::read(&posted, &member)?;
    let (asked, mut form) = forms::asked(&posted, member.settings.units)?;
    let honey = whole
        .honeys
        .iter()
        .find(|honey| honey.public_id == asked.honey);
    if honey.is_none() {
        form.refuse("honey", "Choose one of the honeys on offer.");
    }
    let want = match (honey, &asked.recipe, asked.kg) {
        _ if !form.is_sound() => None,
        (Some(honey), Some(recipe), _) => {
            match planned(&member, &mut tx, honey, recipe, asked.litres).await? {
                Ok(want) => Some(want),
                Err((field, why)) => {
                    form.refuse(field, why);
                    None
                }
            }
        }
        (Some(honey), None, Some(kg)) => Some(Want {
            honey: honey.public_id.clone(),
            kg,
            planned: None,
        }),
        _ => None,
    };
    let Some(want) = want else {
        return form_again(&order_page(&app, &member, &mut tx, &whole, form).await?);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::ADD).await? {
        return see_other(app.site.base(), &location);
    }
    let line = random::public_id()?;
    if !store::add(&mut tx, &id, member.id, &line, &want, app.clock.now()).await? {
        tx.rollback().await?;
        return refused(&app, &member, &id, &posted).await;
    }
    let location = format!("{}?done=added", paths::ORDER.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::ADD, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The page of an order that takes nothing more, with what was typed told.
async fn refused(app: &App, member: &Member, id: &str, posted: &Posted) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let whole = found(&mut conn, member, id).await?;
    let mut shown = order_page(app, member, &mut conn, &whole, FormState::of(posted)).await?;
    shown.shell = shown.shell.warning(
        "Nothing was added: the order takes nothing more. Whoever opened it can tell you what is still possible.",
    );
    crate::web::pages::page_with(axum::http::StatusCode::CONFLICT, &shown)
}

pub(super) async fn take_back(
    State(app): State<App>,
    member: Member,
    Path((id, line)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    match store::take_back(&mut conn, &id, member.id, &line, app.clock.now()).await? {
        true => told(&app, &id, "back"),
        false => {
            let whole = found(&mut conn, &member, &id).await?;
            let own =
                |found: &&super::model::Line| found.public_id == line && found.member == member.id;
            match whole.lines.iter().find(own) {
                Some(_) => Err(super::pages::closed_meanwhile()),
                None => Err(Error::not_found()),
            }
        }
    }
}
