//! The outer layer of all pages: reads the form before, draws the error after.

use std::fmt::Write as _;
use std::time::Duration;

use askama::Template;
use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use tracing::Instrument;

use super::error::{Carry, Error, Kind};
use super::form::Posted;
use super::guards;
use super::incoming::{BODY_TIME, Kept, Read, Refused, read_form};
use super::legible::legible;
use super::metrics::counts;
use super::once::{self, Once};
use super::pages;
use super::paths::Answered;
use super::shell::Shell;
use super::site::Site;
use super::viewer::Viewer;

/// The header under which the reference number of an answer travels.
pub const REFERENCE: HeaderName = HeaderName::from_static("x-request-id");

/// The reference number of a request: shown on error pages, found in the log.
#[derive(Clone, Debug)]
pub struct Reference(pub String);

impl Reference {
    /// A new one, drawn at random.
    pub fn draw() -> Reference {
        let mut bytes = [0u8; 6];
        // Without randomness a reference is merely less telling; sessions and links demand it themselves.
        let _ = getrandom::fill(&mut bytes);
        let mut text = String::new();
        for byte in bytes {
            let _ = write!(text, "{byte:02x}");
        }
        Reference(text)
    }
}

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage {
    shell: Shell,
    heading: &'static str,
    sentence: String,
    reference: String,
    action: String,
    hidden: Vec<(String, String)>,
    /// The same for the eye.
    typed: Vec<(String, String)>,
    ways_on: Vec<(String, String)>,
}

/// Numbers the request, reads its form, lets it through, writes the log line and draws what went wrong.
pub async fn answer(State(site): State<Site>, request: Request, next: Next) -> Response {
    let reference = Reference::draw();
    let began = std::time::Instant::now();
    let (method, uri) = (request.method().clone(), request.uri().clone());
    let is_ours = guards::is_ours(&site, request.headers());
    let (kept, mut response) = match read_form(request).await {
        Ok(Read {
            mut request,
            posted,
            kept,
            rest,
        }) => {
            request.extensions_mut().insert(posted);
            request.extensions_mut().insert(kept.clone());
            request.extensions_mut().insert(reference.clone());
            // Whatever is logged on the way bears the number too.
            let span = tracing::info_span!("request", reference = reference.0);
            let response = next.run(request).instrument(span).await;
            if let Some(rest) = rest.filter(|_| {
                response.status().is_client_error() || response.status().is_server_error()
            }) {
                let _ = tokio::time::timeout(BODY_TIME, rest.forget()).await;
            }
            (kept, response)
        }
        // No guard has looked at it.
        Err(Refused { error, kept }) if is_ours => (kept, error.into_response()),
        Err(Refused { error, .. }) => (Kept::default(), error.into_response()),
    };
    let error = error_in(&response);
    log(
        &reference,
        &method,
        &response,
        error.as_ref(),
        began.elapsed(),
    );
    if let Some(error) = error {
        response = draw(&site, &error, &reference, &uri, &kept.0, response);
    }
    if let Ok(value) = HeaderValue::try_from(&reference.0) {
        response.headers_mut().insert(REFERENCE, value);
    }
    response
}

/// The error that a handler left, or the one that an undrawn answer of the framework amounts to.
fn error_in(response: &Response) -> Option<Error> {
    if let Some(error) = response.extensions().get::<Error>() {
        return Some(error.clone());
    }
    let kind = response
        .headers()
        .get(header::CONTENT_TYPE)
        .and_then(|value| value.to_str().ok());
    let drawn = kind.is_some_and(|kind| !kind.starts_with("text/plain"));
    if drawn || response.extensions().get::<Plain>().is_some() {
        return None;
    }
    match response.status() {
        StatusCode::NOT_FOUND => Some(Error::not_found()),
        StatusCode::METHOD_NOT_ALLOWED => Some(Error::method_not_allowed()),
        StatusCode::PAYLOAD_TOO_LARGE => Some(Error::too_large()),
        StatusCode::REQUEST_TIMEOUT => Some(Error::too_slow()),
        StatusCode::FORBIDDEN => Some(Error::from_elsewhere()),
        StatusCode::SERVICE_UNAVAILABLE => Some(Error::busy(5)),
        status if status.is_client_error() => {
            Some(Error::bad_request("This request cannot be read."))
        }
        status if status.is_server_error() => {
            Some(Error::unexpected(std::io::Error::other("undrawn answer")))
        }
        _ => None,
    }
}

/// Left in answers whose plain text is meant so: health.
#[derive(Clone, Copy, Debug)]
pub struct Plain;

fn draw(
    site: &Site,
    error: &Error,
    reference: &Reference,
    uri: &Uri,
    posted: &Posted,
    from: Response,
) -> Response {
    let below = site.base().below(uri.path());
    let mut drawn = match below == "/api" || below.starts_with("/api/") {
        true => problem(error, reference),
        false => error_page(site, error, reference, uri, posted, &from),
    };
    for name in [header::ALLOW, header::RETRY_AFTER, header::SET_COOKIE] {
        for value in from.headers().get_all(&name) {
            drawn.headers_mut().append(name.clone(), value.clone());
        }
    }
    drawn
        .headers_mut()
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    drawn
}

fn error_page(
    site: &Site,
    error: &Error,
    reference: &Reference,
    uri: &Uri,
    posted: &Posted,
    from: &Response,
) -> Response {
    let viewer = from
        .extensions()
        .get::<Viewer>()
        .cloned()
        .unwrap_or_default();
    let mut hidden: Vec<_> = match error.carry() {
        Carry::Nothing => Vec::new(),
        _ => posted
            .keepable()
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect(),
    };
    if error.carry() == Carry::AsNew {
        renew_key(&mut hidden, &viewer);
    }
    let mut ways_on = vec![(site.base().link("/"), "To the first page".to_owned())];
    if error.kind() == Kind::SignIn {
        ways_on.insert(0, (site.base().link("/sign-in"), "Sign in".to_owned()));
    }
    if error.kind() == Kind::SecondStep {
        let words = "Set up the second step".to_owned();
        ways_on.insert(0, (site.base().link("/second-step"), words));
    }
    let typed = legible(
        hidden
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str())),
    );
    let typed = typed
        .into_iter()
        .map(|(name, text)| (name, text.to_owned()))
        .collect();
    let page = ErrorPage {
        shell: site.shell(&viewer),
        heading: error.heading(),
        sentence: error.sentence().to_owned(),
        reference: reference.0.clone(),
        action: uri
            .path_and_query()
            .map_or_else(String::new, ToString::to_string),
        typed,
        hidden,
        ways_on,
    };
    pages::page_with(error.status(), &page)
        .unwrap_or_else(|_| (error.status(), error.sentence().to_owned()).into_response())
}

/// Gives a form that may be sent again beside its first sending a once key of its own.
fn renew_key(fields: &mut Vec<(String, String)>, viewer: &Viewer) {
    match Once::fresh(viewer) {
        Ok(key) => fields
            .iter_mut()
            .filter(|(name, _)| name == once::FIELD)
            .for_each(|(_, value)| *value = key.clone()),
        Err(_) => fields.clear(),
    }
}

fn problem(error: &Error, reference: &Reference) -> Response {
    // A program has no page to sign in at.
    let (title, detail) = match error.kind() {
        Kind::SignIn => (
            "A token is needed",
            "Send the token of a member as “Authorization: Bearer …”. Members make tokens in their settings; what has run out or was ended opens nothing.",
        ),
        _ => (error.heading(), error.sentence()),
    };
    let body = serde_json::json!({
        "type": "about:blank",
        "title": title,
        "status": error.status().as_u16(),
        "detail": detail,
        "reference": reference.0,
    });
    let json = [(
        header::CONTENT_TYPE,
        HeaderValue::from_static("application/problem+json"),
    )];
    let mut response = (error.status(), json, body.to_string()).into_response();
    let challenge = match error.kind() {
        Kind::SignIn => Some("Bearer realm=\"club\""),
        Kind::OutOfReach => Some("Bearer realm=\"club\", error=\"insufficient_scope\""),
        _ => None,
    };
    if let Some(challenge) = challenge {
        let value = HeaderValue::from_static(challenge);
        response
            .headers_mut()
            .insert(header::WWW_AUTHENTICATE, value);
    }
    response
}

/// One line and one count per request: never a path (it may hold a one-time link), a query, a header or a body.
fn log(
    reference: &Reference,
    method: &Method,
    response: &Response,
    error: Option<&Error>,
    took: Duration,
) {
    let answered = response.extensions().get::<Answered>();
    let route = answered.map_or("-", |answered| answered.0.path);
    let member = response
        .extensions()
        .get::<Viewer>()
        .and_then(Viewer::id)
        .map_or(0, |id| id.0);
    let status = error.map_or(response.status(), Error::status);
    counts().answered(method, route, status, took);
    let status = status.as_u16();
    let ms = u64::try_from(took.as_millis()).unwrap_or(u64::MAX);
    let cause = error.and_then(Error::cause).unwrap_or_default();
    if response.extensions().get::<Plain>().is_some() {
        tracing::debug!(status, "asked for its health");
    } else if status >= 500 {
        tracing::error!(reference = reference.0, %method, route, status, member, ms, cause, "answered");
    } else {
        tracing::info!(reference = reference.0, %method, route, status, member, ms, cause, "answered");
    }
}
