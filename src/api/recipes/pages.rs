//! Handlers of recipes for programs.

use axum::Router;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path, RawQuery, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sqlx::PgConnection;

use super::shown::{Line, Page, RevisionOf, RevisionPage, Whole, tag_of};
use super::{asked, body};
use crate::api::fault::{Answer, Fault, Refusal, json, text_of};
use crate::api::pages::MAX_BYTES;
use crate::api::paths;
use crate::app::App;
use crate::engine;
use crate::engine::problem::{Arguments, Problem, ProblemCode};
use crate::recipes::browse::{self, Sort, View};
use crate::recipes::forms::check::stored;
use crate::recipes::model::{Recipe, Revision};
use crate::recipes::numbers::summary::numbers_for_lists;
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::{SaveError, SaveRevision, Target};
use crate::recipes::store;
use crate::web::Error;
use crate::web::error::violated;
use crate::web::once::{self, Claim, Once};
use crate::web::paths::Routes;
use crate::web::policy::{Action, may};
use crate::web::viewer::{Member, Viewer};

const ONCE: HeaderName = HeaderName::from_static("idempotency-key");

/// What a member's token opens.
pub fn router() -> Router<App> {
    Routes::of(paths::OF_MEMBERS)
        .on(paths::RECIPES, list)
        .on(paths::CREATE, create)
        .on(paths::RECIPE, show)
        .on(paths::REVISE, revise)
        .on(paths::BIN, bin)
        .on(paths::SHARE, share)
        .on(paths::REVISIONS, list_revisions)
        .on(paths::REVISION, show_revision)
        .done()
        .layer(DefaultBodyLimit::max(MAX_BYTES))
}

type Sent = Result<Bytes, BytesRejection>;

fn id_of(text: &str) -> Result<PublicId, Error> {
    text.parse().map_err(|_| Error::not_found())
}

/// A recipe that the member may see. What lies in the bin is gone for programs, also the owner's.
async fn find(conn: &mut PgConnection, member: &Member, id: &PublicId) -> Result<Recipe, Refusal> {
    let found = store::find_recipe(conn, Some(member.id), id).await?;
    let found = found.filter(|recipe| recipe.binned_at.is_none());
    Ok(found.ok_or_else(Error::not_found)?)
}

/// The same of the member's own; another's looks as if it were not there.
async fn find_own(
    conn: &mut PgConnection,
    member: &Member,
    id: &PublicId,
) -> Result<Recipe, Refusal> {
    let recipe = find(conn, member, id).await?;
    let viewer = Viewer::known(member.clone());
    match may(&viewer, Action::Change, &recipe.facts()) {
        true => Ok(recipe),
        false => Err(Error::not_found().into()),
    }
}

async fn revision_of(
    conn: &mut PgConnection,
    member: &Member,
    recipe: &Recipe,
    number: i32,
) -> Result<Revision, Refusal> {
    let found = store::find_revision(conn, Some(member.id), &recipe.public_id, number).await?;
    Ok(found.ok_or_else(Error::not_found)?)
}

/// A recipe as it stands, with the tag that a change must bring back.
async fn whole(
    conn: &mut PgConnection,
    member: &Member,
    id: &PublicId,
    status: StatusCode,
) -> Answer {
    let recipe = find(conn, member, id).await?;
    let revision = revision_of(conn, member, &recipe, recipe.version).await?;
    let mut response = shown(member, &recipe, &revision, status)?;
    let tag = HeaderValue::try_from(tag_of(&recipe)).map_err(Error::unexpected)?;
    response.headers_mut().insert(header::ETAG, tag);
    Ok(response)
}

fn shown(
    member: &Member,
    recipe: &Recipe,
    revision: &Revision,
    status: StatusCode,
) -> Result<Response, Error> {
    let document = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    let value = Whole::of(recipe, revision, &document, member);
    Ok(json(status, "application/json", &value))
}

async fn list(State(app): State<App>, member: Member, RawQuery(query): RawQuery) -> Answer {
    let asked = asked::recipes(query.as_deref())?;
    let mut conn = app.pool.acquire().await?;
    let view = View {
        words: asked.words,
        sort: Sort::Newest,
        ..View::of(asked.shelf.open_to(&member))
    };
    let after = asked.after.as_ref();
    let found = browse::find(&mut conn, Some(member.id), &view, after, asked.limit).await?;
    let found = found.page;
    let page = Page {
        recipes: found
            .lines
            .iter()
            .map(|line| Line::of(line, member.id))
            .collect(),
        next: found.next.map(|cursor| cursor.to_string()),
    };
    Ok(json(StatusCode::OK, "application/json", &page))
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let mut conn = app.pool.acquire().await?;
    whole(&mut conn, &member, &id_of(&id)?, StatusCode::OK).await
}

async fn list_revisions(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    let asked = asked::revisions(query.as_deref())?;
    let mut conn = app.pool.acquire().await?;
    let recipe = find(&mut conn, &member, &id_of(&id)?).await?;
    let lines = store::list_revisions(
        &mut conn,
        Some(member.id),
        &recipe.public_id,
        asked.before,
        asked.limit,
    )
    .await?;
    let last = lines.last().map(|line| line.number);
    let page = RevisionPage {
        next: last.filter(|number| *number > 1 && lines.len() == asked.limit),
        revisions: lines.iter().map(RevisionOf::of).collect(),
    };
    Ok(json(StatusCode::OK, "application/json", &page))
}

async fn show_revision(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let number = asked::whole::<i32>(&number).ok_or_else(Error::not_found)?;
    let mut conn = app.pool.acquire().await?;
    let recipe = find(&mut conn, &member, &id_of(&id)?).await?;
    let revision = revision_of(&mut conn, &member, &recipe, number).await?;
    Ok(shown(&member, &recipe, &revision, StatusCode::OK)?)
}

async fn create(
    State(app): State<App>,
    member: Member,
    headers: HeaderMap,
    RawQuery(query): RawQuery,
    body: Sent,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let text = text_of(&body)?;
    let key = headers.get(ONCE).and_then(|key| key.to_str().ok());
    let once = key.and_then(|key| Once::of_program(key, text.as_bytes())).ok_or_else(|| {
        Fault::new(StatusCode::BAD_REQUEST, "A key of your own is needed").detail(
            "Send 10 to 100 visible characters as Idempotency-Key, new for each recipe: sent twice, it is saved once.",
        )
    })?;
    let sent = body::sent(text)?;
    let mut tx = app.pool.begin().await?;
    let claimed = once::claim(&mut tx, &once, &member, paths::CREATE).await;
    let id = match claimed.map_err(another_body)? {
        Claim::Done(id) => id_of(&id)?,
        Claim::Fresh => {
            let target = Target::New {
                visibility: sent.visibility.unwrap_or_default(),
                started_from: None,
            };
            let id = save(&app, &mut tx, &member, &sent, target).await?;
            once::settle(&mut tx, &once, &member, paths::CREATE, id.as_str()).await?;
            id
        }
    };
    tx.commit().await?;
    let mut conn = app.pool.acquire().await?;
    let mut response = whole(&mut conn, &member, &id, StatusCode::CREATED).await?;
    let at = app.site.base().link(&paths::RECIPE.with(&[id.as_str()]));
    let at = HeaderValue::try_from(at).map_err(Error::unexpected)?;
    response.headers_mut().insert(header::LOCATION, at);
    Ok(response)
}

/// The same key with another body: for a program there is nothing to send again from a page.
fn another_body(error: Error) -> Refusal {
    match error.status() {
        StatusCode::CONFLICT => Fault::new(StatusCode::CONFLICT, "The key was used before")
            .detail("This Idempotency-Key was sent with another body. Nothing was saved; take a new one.")
            .into(),
        _ => error.into(),
    }
}

async fn revise(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    headers: HeaderMap,
    RawQuery(query): RawQuery,
    body: Sent,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let id = id_of(&id)?;
    let mut conn = app.pool.acquire().await?;
    let recipe = find_own(&mut conn, &member, &id).await?;
    drop(conn);
    // Before the tag: what could not be saved is told so, whatever was seen (RFC 9110, 13.2.1).
    let sent = body::sent(text_of(&body)?)?;
    let Some(seen) = headers.get(header::IF_MATCH) else {
        return Err(
            Fault::new(StatusCode::PRECONDITION_REQUIRED, "Say what you saw")
                .detail("Send the ETag of the recipe as If-Match, so that nobody's revision is overlooked.")
                .into(),
        );
    };
    if seen.as_bytes() != tag_of(&recipe).as_bytes() {
        return Err(changed_since());
    }
    let target = Target::Existing {
        recipe: &id,
        expected_version: recipe.version,
        visibility: sent.visibility,
    };
    let mut tx = app.pool.begin().await?;
    save(&app, &mut tx, &member, &sent, target).await?;
    tx.commit().await?;
    let mut conn = app.pool.acquire().await?;
    whole(&mut conn, &member, &id, StatusCode::OK).await
}

fn changed_since() -> Refusal {
    Fault::new(StatusCode::PRECONDITION_FAILED, "Changed in the meantime")
        .detail("The recipe is not what your If-Match names. Read it again and decide anew; nothing was saved.")
        .into()
}

/// Saves what was sent, in the caller's transaction.
async fn save(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    sent: &body::Sent,
    target: Target<'_>,
) -> Result<PublicId, Refusal> {
    let settings = engine::Settings {
        sachet_g: member.settings.sachet_g,
    };
    let numbers = engine::formulate(&sent.recipe, &settings);
    let document = serde_json::to_value(&sent.recipe).map_err(Error::unexpected)?;
    let revision = SaveRevision {
        author: member.id,
        target,
        title: &sent.recipe.title,
        document: &document,
        numbers: &numbers_for_lists(&sent.recipe, &numbers),
        note: &sent.note,
        draft: None,
    };
    let saved = store::save_revision(conn, &revision, app.clock.now()).await;
    Ok(saved.map_err(not_saved)?.recipe)
}

fn not_saved(why: SaveError) -> Refusal {
    match why {
        SaveError::Conflict(_) => changed_since(),
        SaveError::WiderThanSource => too_wide(),
        SaveError::NotFound | SaveError::Binned | SaveError::SourceNotFound => {
            Error::not_found().into()
        }
        SaveError::Random(fault) => Error::unexpected(fault).into(),
        SaveError::Database(fault) if violated(&fault) == Some("revisions_document_size") => {
            Fault::new(StatusCode::PAYLOAD_TOO_LARGE, "The document is too long")
                .detail("Written out it has more than a million bytes.")
                .into()
        }
        SaveError::Database(fault) => fault.into(),
    }
}

/// Shared more widely than the recipe it was started from.
fn too_wide() -> Refusal {
    let arguments = Arguments::none()
        .with("given", "link")
        .with("known", "private, club");
    Fault::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Wider than what it was started from",
    )
    .problems(vec![Problem::new(
        ProblemCode::UnknownWord,
        "/visibility",
        arguments,
    )])
    .into()
}

async fn share(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
    body: Sent,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let id = id_of(&id)?;
    let mut conn = app.pool.acquire().await?;
    find_own(&mut conn, &member, &id).await?;
    let wanted = body::shared(text_of(&body)?)?;
    store::share(&mut conn, member.id, &id, wanted)
        .await
        .map_err(not_saved)?;
    whole(&mut conn, &member, &id, StatusCode::OK).await
}

async fn bin(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    asked::nothing(query.as_deref())?;
    let id = id_of(&id)?;
    let mut conn = app.pool.acquire().await?;
    find_own(&mut conn, &member, &id).await?;
    store::bin(&mut conn, member.id, &id, app.clock.now()).await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}
