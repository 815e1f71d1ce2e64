//! Puts the viewer into every request, holds those who have yet to set up the second step, and puts the sign-in page in
//! place of "sign in first".

use std::net::IpAddr;
use std::time::Duration;

use axum::extract::{OriginalUri, Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::second::{self, rule};
use super::sessions::Standing;
use super::sign_in::{prove_again, sign_in_first};
use super::{cookie, sessions, tokens};
use crate::app::App;
use crate::web::error::Kind;
use crate::web::grant::Grant;
use crate::web::incoming::Kept;
use crate::web::listen::Peer;
use crate::web::pages::see_other;
use crate::web::room::Large;
use crate::web::{Error, Viewer, random};

/// How long a stranger's page waits to learn how the club is called by now.
const NAME_PATIENCE: Duration = Duration::from_secs(1);

/// Where a request comes from: the peer, or what a trusted proxy says.
#[derive(Clone, Copy, Debug)]
pub struct Source(pub IpAddr);

/// Finds the viewer before, and offers to sign in after.
pub async fn know_the_viewer(State(app): State<App>, mut request: Request, next: Next) -> Response {
    let peer = request.extensions().get::<Peer>().copied();
    let source = app.trusted_proxies.source_of(peer, request.headers());
    // Of programs a cookie is never asked, and of browsers no token: neither opens what the other is for.
    let is_api = request.uri().path().starts_with("/api/");
    let found = match is_api {
        true => find_by_token(&app, request.headers()).await,
        false => find_viewer(&app, request.headers()).await,
    };
    let (viewer, standing, grant) = match found {
        Ok(found) => found,
        Err(error) => return error.into_response(),
    };
    if let Some(mut held) = hold(&app, &viewer, standing, &request) {
        held.extensions_mut().insert(viewer);
        return held;
    }
    request.extensions_mut().insert(Source(source));
    request.extensions_mut().insert(standing);
    request.extensions_mut().insert(viewer.clone());
    if let Some(grant) = grant {
        request.extensions_mut().insert(grant);
    }
    let original = request
        .extensions()
        .get::<OriginalUri>()
        .map(|uri| uri.0.clone());
    let uri = original.unwrap_or_else(|| request.uri().clone());
    let posted = request
        .extensions()
        .get::<Kept>()
        .map(|kept| kept.0.clone())
        .unwrap_or_default();
    let (method, headers) = (request.method().clone(), request.headers().clone());
    let large = request.extensions().get::<Large>();
    let place = match viewer.id().filter(|_| large.is_some()) {
        Some(member) => app.room.place(member).await.map(Some),
        // Of strangers no handler takes in a file.
        None => Ok(None),
    };
    let mut response = match place {
        Ok(_place) => next.run(request).await,
        Err(error) => error.into_response(),
    };
    let asks_to_sign_in = response
        .extensions()
        .get::<Error>()
        .is_some_and(|error| error.kind() == Kind::SignIn);
    if asks_to_sign_in && !is_api {
        let wants_page = matches!(method, Method::GET | Method::HEAD) && !is_live(&headers);
        let path = uri.path_and_query().map_or("/", |path| path.as_str());
        let answered = response
            .extensions()
            .get::<crate::web::paths::Answered>()
            .copied();
        let led = if viewer.member().is_some() {
            let before = page_before(&app, &headers);
            prove_again(&app, &viewer, wants_page, path, &posted, &before)
        } else {
            let whose = find_former(&app, &headers).await;
            sign_in_first(&app, wants_page, path, &posted, whose.as_deref())
        };
        response = led.unwrap_or_else(IntoResponse::into_response);
        if let Some(answered) = answered {
            response.extensions_mut().insert(answered);
        }
    }
    if response.status() == StatusCode::FORBIDDEN {
        tracing::warn!(member = viewer.id().map_or(0, |id| id.0), "refused");
    }
    response.extensions_mut().insert(viewer);
    response
}

/// Whether our own script asks, not a person who would be led to another page.
fn is_live(headers: &HeaderMap) -> bool {
    headers
        .get("sec-fetch-mode")
        .is_some_and(|mode| mode != "navigate")
}

/// What a member gets, whatever they ask for, until they have the second step that their role needs: a reader is led to
/// where it is set up, a writer keeps what was typed.
fn hold(app: &App, viewer: &Viewer, standing: Standing, request: &Request) -> Option<Response> {
    let role = viewer.role()?;
    let path = request.uri().path();
    let is_held = app.second_step.holds(role, standing.has_second_step);
    if !is_held || rule::stays_open(request.method(), path) {
        return None;
    }
    let reads = matches!(*request.method(), Method::GET | Method::HEAD);
    let wants_page = reads && !is_live(request.headers()) && !path.starts_with("/api/");
    let held = match wants_page {
        true => see_other(app.site.base(), second::paths::SECOND_STEP.path),
        false => Err(Error::second_step_first()),
    };
    Some(held.unwrap_or_else(IntoResponse::into_response))
}

/// The full path of the page from which the request comes, if it is one of ours.
fn page_before(app: &App, headers: &HeaderMap) -> String {
    let told = headers
        .get(header::REFERER)
        .and_then(|told| told.to_str().ok());
    let path = told.and_then(|told| told.strip_prefix(app.site.origin()));
    path.unwrap_or_default().to_owned()
}

/// Whoever comes, how their session stands, and what their token opens.
type Comes = (Viewer, Standing, Option<Grant>);

async fn find_viewer(app: &App, headers: &HeaderMap) -> Result<Comes, Error> {
    let stranger = (Viewer::stranger(), Standing::default(), None);
    let Some(token) = cookie::read(&app.site, headers) else {
        // What a stranger reads needs no database: without one the page is called as it was.
        let _ = tokio::time::timeout(NAME_PATIENCE, look_again(app)).await;
        return Ok(stranger);
    };
    let mut conn = app.pool.acquire().await?;
    let found = sessions::store::find_session(&mut conn, &random::hash_of(&token)).await?;
    let known = app.site.club().version;
    // Of a session that ended nothing is known of the club either.
    let version = found.as_ref().map(|found| found.club_version);
    if version != Some(Some(known)) {
        app.site.look_again(&mut conn).await?;
    }
    let Some(found) = found else {
        return Ok(stranger);
    };
    if found.stale {
        sessions::store::touch_session(&mut conn, found.member.id, found.member.session).await?;
    }
    Ok((Viewer::known(found.member), found.standing, None))
}

/// Who comes by the token in the header, and what it opens. A token that is no good is none.
async fn find_by_token(app: &App, headers: &HeaderMap) -> Result<Comes, Error> {
    let stranger = (Viewer::stranger(), Standing::default(), None);
    let Some(text) = bearer(headers) else {
        return Ok(stranger);
    };
    let mut conn = app.pool.acquire().await?;
    match tokens::store::use_token(&mut conn, text, app.api_per_minute).await? {
        None => Ok(stranger),
        Some(used) => match used.wait {
            Some(seconds) => {
                tracing::warn!(member = used.member.id.0, "a token was used too often");
                Err(Error::too_often(seconds))
            }
            None => Ok((Viewer::known(used.member), used.standing, Some(used.opens))),
        },
    }
}

/// The token of an Authorization header that stands there once.
pub fn bearer(headers: &HeaderMap) -> Option<&str> {
    let mut lines = headers.get_all(header::AUTHORIZATION).iter();
    let (line, None) = (lines.next()?, lines.next()) else {
        return None;
    };
    let (scheme, text) = line.to_str().ok()?.split_once(' ')?;
    let text = text.trim();
    (scheme.eq_ignore_ascii_case("bearer") && !text.is_empty() && text.len() <= 200).then_some(text)
}

async fn look_again(app: &App) -> Result<(), sqlx::Error> {
    let mut conn = app.pool.acquire().await?;
    app.site.look_again(&mut conn).await
}

/// The public id of the member whose session, now ended, the browser still names.
async fn find_former(app: &App, headers: &HeaderMap) -> Option<String> {
    let token = cookie::read(&app.site, headers)?;
    let mut conn = app.pool.acquire().await.ok()?;
    sessions::store::find_former(&mut conn, &random::hash_of(&token))
        .await
        .ok()?
}
