//! What a request must show before any handler sees it: that its form was sent from our own pages.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use tower_http::csrf::{CsrfLayer, ProtectionError, ResponseForProtectionError};

use super::error::Error;
use super::site::Site;

const FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// Draws the refusal as one of our errors.
#[derive(Clone, Copy, Debug)]
pub struct Refusal;

impl ResponseForProtectionError<axum::body::Body> for Refusal {
    fn response_for_protection_error(&mut self, _: ProtectionError) -> Response {
        tracing::warn!("a form from another site was refused");
        Error::from_elsewhere().into_response()
    }
}

/// Refuses writes whose fetch metadata or origin is another site's.
pub fn csrf(site: &Site) -> CsrfLayer<Refusal> {
    let layer = CsrfLayer::new();
    match layer.clone().add_trusted_origin(site.origin()) {
        Ok(trusting) => trusting,
        Err(_) => layer,
    }
    .with_rejection_response(Refusal)
}

/// Refuses writes to pages that tell neither: every browser tells one, and only programs that use the API, where no
/// cookie counts, tell none. And those from a page of the same name that came without encryption: whoever listens wrote that.
pub async fn demand_origin(State(site): State<Site>, request: Request, next: Next) -> Response {
    let headers = request.headers();
    let tells = headers.contains_key(&FETCH_SITE) || headers.contains_key(header::ORIGIN);
    let is_api = site.base().below(request.uri().path()).starts_with("/api/");
    let why = match (tells || is_api, is_open(&site, headers)) {
        _ if request.method().is_safe() => return next.run(request).await,
        (true, false) => return next.run(request).await,
        (false, _) => "a form that tells nothing of its origin was refused",
        (_, true) => "a form from a page without encryption was refused",
    };
    tracing::warn!("{why}");
    Error::from_elsewhere().into_response()
}

/// Whether a form says itself that it came from one of our pages: of any other no text is shown again in ours, where sending it
/// would look like the member's own doing.
pub fn is_ours(site: &Site, headers: &HeaderMap) -> bool {
    let told = |name: &HeaderName| headers.get(name).and_then(|told| told.to_str().ok());
    match told(&FETCH_SITE) {
        Some(from) => matches!(from, "same-origin" | "none"),
        None => told(&header::ORIGIN) == Some(site.origin()),
    }
}

/// Whether a page came without encryption though the site has it.
fn is_open(site: &Site, headers: &HeaderMap) -> bool {
    let origin = headers
        .get(header::ORIGIN)
        .and_then(|origin| origin.to_str().ok());
    let is_plain = origin.is_some_and(|origin| origin.starts_with("http://"));
    is_plain && site.origin().starts_with("https://")
}
