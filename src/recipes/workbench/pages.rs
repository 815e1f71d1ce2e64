//! Handlers that open the workbench, recalculate it and keep its draft.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue};
use serde::Deserialize;
use sqlx::PgConnection;

use super::advice::Advice;
use super::buttons::{self, press};
use super::opening::{form_of, of_link, of_starter, own_from};
use super::page::{Showing, glance, show, view_of};
use super::saving::{create, save};
use super::view::FormView;
use super::{assume, choices, store as ways, today, work};
use crate::app::App;
use crate::recipes::changes::take::{Taken, Taking, take_over};
use crate::recipes::drafts::{Kept, PutDraft, store as drafts};
use crate::recipes::forms::{Group, Workbench, fill};
use crate::recipes::method_pages::general;
use crate::recipes::numbers::{NumbersView, Reader};
use crate::recipes::opened::reader_for;
use crate::recipes::pairings::put_in;
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::Source;
use crate::recipes::starters::Size;
use crate::recipes::swap::{Asked, taken_over};
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page, see_other};
use crate::web::paths::Routes;
use crate::web::policy::{Action, may};
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers of the workbench.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::RECALCULATE, recalculate)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::DRAFT, resume)
        .on(paths::DISCARD, discard)
        .on(paths::PUT_DRAFT_BACK, put_back)
}

/// The same regions alone, for an edit while typing.
#[derive(Template)]
#[template(path = "recipes/live.html")]
struct LiveAnswer {
    form: FormView,
    numbers: NumbersView,
    /// One sentence for those who hear the page: a fault, else the numbers.
    spoken: String,
    glance: String,
    draft_state: String,
    advice: Advice,
    /// Choices of a yeast.
    yeasts: Vec<(String, String)>,
    /// Whether the numbers are new; else the page keeps the last ones and says that they are old.
    counted: bool,
}

#[derive(Deserialize)]
struct From {
    from: Option<String>,
    revision: Option<i32>,
    starter: Option<String>,
    size: Option<String>,
    honey: Option<String>,
    beside: Option<String>,
    /// The token of a link.
    shared: Option<String>,
}

async fn new(
    State(app): State<App>,
    member: Member,
    Query(query): Query<From>,
    Query(asked): Query<Asked>,
    Query(taking): Query<Taking>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let sources = (
        query.shared.as_deref(),
        query.from.as_deref(),
        query.starter.as_deref(),
    );
    let form = match sources {
        (None, None, None) => of_pairing(&query, &reader),
        (None, None, Some(key)) => {
            let size = query.size.as_deref().unwrap_or_default();
            of_starter(key, Size::from_word(size), &reader)?
        }
        (None, Some(id), _) => {
            let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
            let (_, revision) =
                store::find_with_revision(&mut conn, viewer.id(), &id, query.revision)
                    .await?
                    .ok_or_else(Error::not_found)?;
            own_from(&revision, &reader)?
        }
        (Some(token), _, _) => of_link(&mut conn, &viewer, token, &reader).await?,
    };
    let (form, said) = taken_over(form, &asked, &reader);
    let (form, taken) = take_over(&mut conn, member.id, form, &taking, &reader).await?;
    drop(conn);
    let taken = Taken {
        said: said + &taken.said,
        ..taken
    };
    open_new(&app, &member, &reader, form, taken).await
}

/// Shows a form that nobody has typed into yet, as a recipe to be: nothing of it is kept. `said` tells what was done to it.
pub(in crate::recipes) async fn open_unsaved(
    app: &App,
    member: &Member,
    reader: &Reader,
    form: Workbench,
    said: String,
) -> Answer {
    let taken = Taken {
        said,
        ..Taken::default()
    };
    open_new(app, member, reader, form, taken).await
}

/// The same, with what was done to it or why it could not be.
async fn open_new(
    app: &App,
    member: &Member,
    reader: &Reader,
    mut form: Workbench,
    taken: Taken,
) -> Answer {
    form.set(
        "draft",
        PublicId::random().map_err(Error::unexpected)?.as_str(),
    );
    let mut conn = app.pool.acquire().await?;
    lay_out(&mut conn, member, reader, &mut form).await?;
    drop(conn);
    let showing = Showing {
        dirty: !taken.said.is_empty(),
        said: taken.said,
        warned: taken.warned,
        ..Showing::default()
    };
    show(app, member, reader, form, showing).await
}

/// The form of a new recipe, with what was chosen because it goes together.
fn of_pairing(query: &From, reader: &Reader) -> Workbench {
    let [honey, beside] =
        [&query.honey, &query.beside].map(|key| key.as_deref().unwrap_or_default());
    let mut form = fill::fresh(reader.units);
    put_in(&mut form, honey, beside, reader.units, &reader.catalogue);
    form
}

/// Lays a form out as its member wants it, and dates it.
async fn lay_out(
    conn: &mut PgConnection,
    member: &Member,
    reader: &Reader,
    form: &mut Workbench,
) -> Result<(), Error> {
    let whole = ways::opens_whole(conn, member.id).await?;
    put_in_order(member, form, whole);
    if form.text("mixing_day").is_empty() {
        form.set("mixing_day", today(reader).to_string());
    }
    Ok(())
}

/// The whole form spells everything out; the five questions take answers.
fn put_in_order(member: &Member, form: &mut Workbench, whole: bool) {
    let units = member.settings.units;
    match whole {
        true => {
            form.set(assume::WAY, "");
            assume::spell_out(form);
        }
        false => {
            form.set(assume::WAY, assume::QUESTIONS);
            assume::put_as_answers(form, units);
        }
    }
}

async fn edit(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
    Query(taking): Query<Taking>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
        .await?
        .ok_or_else(Error::not_found)?;
    if !may(&viewer, Action::Change, &recipe.facts()) {
        return Err(Error::not_found());
    }
    let revision = store::find_revision(&mut conn, viewer.id(), &id, recipe.version)
        .await?
        .ok_or_else(Error::not_found)?;
    let (form, said) = taken_over(form_of(&revision, &reader)?, &asked, &reader);
    let (mut form, taken) = take_over(&mut conn, member.id, form, &taking, &reader).await?;
    let said = said + &taken.said;
    lay_out(&mut conn, &member, &reader, &mut form).await?;
    drop(conn);
    form.set("visibility", recipe.visibility.as_str());
    form.set(
        "draft",
        PublicId::random().map_err(Error::unexpected)?.as_str(),
    );
    form.set("base_version", recipe.version.to_string());
    show(
        &app,
        &member,
        &reader,
        form,
        Showing {
            recipe: Some(id),
            dirty: !said.is_empty(),
            said,
            warned: taken.warned,
            ..Showing::default()
        },
    )
    .await
}

async fn resume(
    State(app): State<App>,
    member: Member,
    Path(draft): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let kept = drafts::find(&mut conn, member.id, &draft)
        .await?
        .ok_or_else(Error::not_found)?;
    let form = Workbench::read(&Posted::from_pairs(kept.fields))?;
    let (mut form, said) = taken_over(form, &asked, &reader);
    lay_out(&mut conn, &member, &reader, &mut form).await?;
    drop(conn);
    // The script counts on from the clock; without script the newest to come is the newest.
    form.set("sequence", "");
    show(
        &app,
        &member,
        &reader,
        form,
        Showing {
            recipe: kept.recipe,
            dirty: true,
            said,
            ..Showing::default()
        },
    )
    .await
}

async fn discard(State(app): State<App>, member: Member, Path(draft): Path<String>) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    drafts::discard(&mut conn, member.id, &draft, app.clock.now()).await?;
    see_other(
        app.site.base(),
        &format!("{}?done=thrown", paths::LIST.path),
    )
}

async fn put_back(State(app): State<App>, member: Member, Path(draft): Path<String>) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let there = drafts::put_back(&mut conn, member.id, &draft, app.clock.now()).await?;
    let kept = drafts::find(&mut conn, member.id, &draft).await?;
    match there || kept.is_some() {
        true => see_other(app.site.base(), &paths::DRAFT.with(&[draft.as_str()])),
        false => Err(Error::not_found()),
    }
}

/// Recalculates. A live edit gets the regions alone; a button gets the whole page.
async fn recalculate(
    State(app): State<App>,
    member: Member,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let live = headers.contains_key("x-live");
    let mut form = Workbench::read(&posted)?;
    let button = posted.one("press")?;
    let recipe = form_recipe(&posted)?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    match button {
        buttons::AS_WHOLE | buttons::AS_QUESTIONS => {
            let whole = button == buttons::AS_WHOLE;
            ways::set_opens_whole(&mut conn, member.id, whole).await?;
            put_in_order(&member, &mut form, whole);
        }
        buttons::FILL => buttons::fill_vessel(&mut form, &member, &reader),
        button => press(&mut form, button, &reader.catalogue),
    }
    let kept = keep_draft(
        &app,
        &mut conn,
        &member,
        &form,
        recipe.as_ref(),
        !live || posted.has("at_once"),
    )
    .await?;
    drop(conn);
    if !live && button == buttons::SWAP && kept.is_some() {
        let path = paths::SWAP_DRAFT.with(&[form.text("draft")]);
        return see_other(app.site.base(), &path);
    }
    if !live {
        return show(
            &app,
            &member,
            &reader,
            form,
            Showing {
                recipe,
                dirty: true,
                scold: true,
                touched: button.split('-').nth(1).and_then(Group::from_word),
                draft_state: draft_state(&app, &member, kept.as_ref()),
                ..Showing::default()
            },
        )
        .await;
    }
    let worked = work(&form, &member, &reader);
    let view = view_of(&form, &worked, &reader, &Showing::default());
    let fault = view.faults.first().map(|(_, why)| why.clone());
    let answer = LiveAnswer {
        spoken: fault.unwrap_or_else(|| worked.view.spoken.clone()),
        form: view,
        glance: glance(&worked.numbers),
        numbers: worked.view.leading_to(general(&app)),
        yeasts: choices::yeasts(&form, &worked.advice.yeasts, &reader.catalogue),
        advice: worked.advice,
        counted: worked.counted,
        draft_state: draft_state(&app, &member, kept.as_ref()),
    };
    let mut response = page(&answer)?;
    if let Some(Kept::Deferred { again_in }) = kept
        && let Ok(value) = HeaderValue::try_from((again_in.as_millis() + 50).to_string())
    {
        response.headers_mut().insert("x-draft-again", value);
    }
    Ok(response)
}

/// The recipe that a form edits, if it is not a new one.
fn form_recipe(posted: &Posted) -> Result<Option<PublicId>, Error> {
    match posted.one("recipe")? {
        "" => Ok(None),
        id => id.parse().map(Some).map_err(|_| Error::not_found()),
    }
}

pub(in crate::recipes) async fn keep_draft(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    form: &Workbench,
    recipe: Option<&PublicId>,
    at_once: bool,
) -> Result<Option<Kept>, Error> {
    let Ok(draft) = form.text("draft").parse::<PublicId>() else {
        return Ok(None);
    };
    let base: i32 = form.text("base_version").parse().unwrap_or(0);
    let from = form.text("from_recipe").parse::<PublicId>().ok();
    let source = from.as_ref().zip(form.text("from_number").parse().ok());
    let mut fields = form.pairs();
    if let Some(recipe) = recipe {
        fields.push(("recipe".to_owned(), recipe.to_string()));
    }
    let put = PutDraft {
        member: member.id,
        draft: &draft,
        editing: recipe.map(|recipe| (recipe, base)),
        started_from: source.map(|(recipe, number)| Source {
            recipe,
            number,
            held: None,
        }),
        title: form.text("title"),
        fields: &fields,
        sequence: form.text("sequence").parse().ok(),
        at_once,
    };
    Ok(Some(drafts::put(conn, &put, app.clock.now()).await?))
}

pub(super) fn draft_state(app: &App, member: &Member, kept: Option<&Kept>) -> String {
    match kept {
        Some(Kept::Written { .. }) => {
            let now = app.clock.now().with_timezone(&member.settings.zone);
            format!("Draft kept {}.", now.format("%H:%M"))
        }
        Some(Kept::Deferred { .. }) => "Draft is being kept.".to_owned(),
        Some(Kept::Late) => "A newer draft is kept.".to_owned(),
        None => String::new(),
    }
}
