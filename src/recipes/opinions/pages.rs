//! The page of opinions, who said what and how it is reckoned; rating, and taking a rating back.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::comments::pages as comments;
use super::model::Given;
use super::score::{BEGINS_AT, BEGINS_WITH, Score, best_revision, by_revision};
use super::shown::{OpinionsView, Typed, opinions_with};
use super::store::RateError;
use super::{forms, paths, store};
use crate::app::App;
use crate::recipes::list::day;
use crate::recipes::model::Recipe;
use crate::recipes::public_id::PublicId;
use crate::recipes::{paths as recipes, store as recipe_store};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::units::plain;
use crate::web::viewer::{Member, Viewer};

/// The routes of opinions.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::OPINIONS, show)
        .on(paths::RATE, rate)
        .on(paths::TAKE_BACK, take_back)
        .on(paths::COMMENT, comments::write)
        .on(paths::EDIT, comments::edit)
        .on(paths::SAVE, comments::save)
        .on(paths::EARLIER, comments::earlier)
        .on(paths::REMOVE, comments::remove)
        .done()
}

/// What one member said.
struct Line {
    name: String,
    stars: u8,
    knows: &'static str,
    revision: i32,
    url: String,
    day: String,
}

#[derive(Template)]
#[template(path = "recipes/opinions.html")]
struct OpinionsPage {
    shell: Shell,
    title: String,
    sheet_url: String,
    faults: Vec<(String, String)>,
    opinions: OpinionsView,
    lines: Vec<Line>,
    /// The reckoning with its numbers, and the plain mean beside it.
    worked: String,
    plain_mean: String,
    /// What each revision scored, where more than one was rated.
    revisions: Vec<(i32, String)>,
    best: Option<i32>,
}

impl OpinionsPage {
    const BEGINS_AT: f64 = BEGINS_AT;
    const BEGINS_WITH: f64 = BEGINS_WITH;
}

#[derive(Deserialize)]
pub(super) struct OpinionsQuery {
    revision: Option<i32>,
    before: Option<String>,
    done: Option<String>,
}

/// The recipe of an address, as far as the member sees it.
pub(super) async fn recipe_of(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Recipe, Error> {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    recipe_store::find_recipe(conn, Some(member.id), &id)
        .await?
        .ok_or_else(Error::not_found)
}

async fn opinions_page(
    app: &App,
    member: &Member,
    recipe: &Recipe,
    revision: i32,
    before: Option<&PublicId>,
    typed: Typed,
) -> Result<OpinionsPage, Error> {
    let viewer = Viewer::known(member.clone());
    let forms = [&typed.rating, &typed.comment].into_iter().flatten();
    let faults = forms.flat_map(|form| form.faults().to_vec()).collect();
    let mut conn = app.pool.acquire().await?;
    let view = opinions_with(app, &mut conn, member, recipe, revision, before, typed).await?;
    drop(conn);
    let base = app.site.base();
    let id = recipe.public_id.as_str();
    let score = Score::of(view.given.iter().map(|given| given.rating));
    let rated: Vec<_> = view
        .given
        .iter()
        .map(|given| (given.revision, given.rating))
        .collect();
    let revisions = by_revision(&rated);
    let best = best_revision(&rated).filter(|_| revisions.len() > 1);
    let line = |given: &Given| Line {
        name: match given.member == member.id {
            true => "You".to_owned(),
            false => given.name.clone(),
        },
        stars: given.rating.stars,
        knows: given.rating.basis.told(),
        revision: given.revision,
        url: base.link(&recipes::REVISION.with(&[id, &given.revision.to_string()])),
        day: day(given.rated_at, member),
    };
    Ok(OpinionsPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        title: recipe.title.clone(),
        sheet_url: base.link(&recipes::SHEET.with(&[id])),
        faults,
        lines: view.given.iter().map(line).collect(),
        worked: score.worked(),
        plain_mean: score
            .plain_mean()
            .map_or(String::new(), |mean| plain(mean, 2)),
        revisions: match revisions.len() {
            0 | 1 => Vec::new(),
            _ => revisions
                .iter()
                .map(|(number, score)| (*number, score.words_to(2)))
                .collect(),
        },
        best: best.map(|(number, _)| number),
        opinions: view,
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<OpinionsQuery>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let recipe = recipe_of(&mut conn, &member, &id).await?;
    drop(conn);
    let known = |number: &i32| (1..=recipe.version).contains(number);
    let revision = query.revision.filter(known).unwrap_or(recipe.version);
    let before: Option<PublicId> = query.before.and_then(|before| before.parse().ok());
    let mut shown = opinions_page(
        &app,
        &member,
        &recipe,
        revision,
        before.as_ref(),
        Typed::default(),
    )
    .await?;
    let said = match query.done.as_deref() {
        Some("rated") => "Your rating counts. Change it or take it back whenever you like.",
        Some("taken-back") => "Your rating is taken back.",
        Some("commented") => "Your comment stands below.",
        Some("edited") => "Your comment has its new words. The earlier ones can still be read.",
        Some("removed") => "The comment is removed.",
        _ => "",
    };
    shown.shell = shown.shell.saying(said);
    page(&shown)
}

/// The page again, with a form that has faults.
pub(super) async fn again(
    app: &App,
    member: &Member,
    id: &str,
    revision: &str,
    typed: Typed,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let recipe = recipe_of(&mut conn, member, id).await?;
    drop(conn);
    let revision = revision.parse().ok();
    let revision = revision.filter(|number| (1..=recipe.version).contains(number));
    let revision = revision.unwrap_or(recipe.version);
    form_again(&opinions_page(app, member, &recipe, revision, None, typed).await?)
}

async fn rate(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let recipe: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let (rating, revision) = match forms::rating(&posted)? {
        Ok(given) => given,
        Err(form) => {
            let revision = form.typed("revision").to_owned();
            let typed = Typed {
                rating: Some(form),
                ..Typed::default()
            };
            return again(&app, &member, &id, &revision, typed).await;
        }
    };
    let now = app.clock.now();
    let mut tx = app.pool.begin().await?;
    store::rate(&mut tx, member.id, &recipe, revision, rating, now)
        .await
        .map_err(not_rated)?;
    tx.commit().await?;
    done(&app, &recipe, "rated")
}

async fn take_back(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let recipe: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut tx = app.pool.begin().await?;
    store::take_back(&mut tx, member.id, &recipe)
        .await
        .map_err(not_rated)?;
    tx.commit().await?;
    done(&app, &recipe, "taken-back")
}

fn not_rated(fault: RateError) -> Error {
    match fault {
        RateError::NotFound => Error::not_found(),
        RateError::Database(fault) => fault.into(),
    }
}

fn done(app: &App, recipe: &PublicId, what: &str) -> Answer {
    let path = paths::OPINIONS.with(&[recipe.as_str()]);
    see_other(app.site.base(), &format!("{path}?done={what}"))
}
