//! Headers that every answer has.

use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;

use super::site::Site;

/// Only our own files; nothing inline; forms only to us; nobody frames us.
pub const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    font-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'; object-src 'none'; require-trusted-types-for 'script'";

fn always() -> [(HeaderName, &'static str); 6] {
    [
        (header::CONTENT_SECURITY_POLICY, CONTENT_POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // Not `no-referrer`: browsers would then send our own forms with the origin `null`.
        (header::REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("permissions-policy"),
            "camera=(), geolocation=(), microphone=(), payment=(), usb=(), interest-cohort=()",
        ),
    ]
}

/// Whether search engines may list an answer: a club is no matter of theirs, unless a page says so itself.
pub const ROBOTS: HeaderName = HeaderName::from_static("x-robots-tag");

/// Adds the headers to whatever comes out, errors and static files included.
pub async fn add(State(site): State<Site>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in always() {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(ROBOTS)
        .or_insert(HeaderValue::from_static("noindex"));
    if site.is_https() {
        let a_year = HeaderValue::from_static("max-age=31536000; includeSubDomains");
        headers.insert(header::STRICT_TRANSPORT_SECURITY, a_year);
    }
    // Pages belong to whoever looks. Not `no-cache`: after a sign-out the Back button would show them once more,
    // while a browser that goes back to a `no-store` page of a session still open finds it as it was left.
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    response
}
