//! From a page struct to a response.

use askama::Template;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use super::error::Error;
use super::paths::Base;
use super::unbroken::unbroken;

/// What a page handler returns.
pub type Answer = Result<Response, Error>;

/// The page with status 200.
pub fn page(template: &impl Template) -> Answer {
    page_with(StatusCode::OK, template)
}

/// The page with another status: 422 for a form with faults.
pub fn page_with(status: StatusCode, template: &impl Template) -> Answer {
    let text = template.render().map_err(Error::unexpected)?;
    let html = [(
        header::CONTENT_TYPE,
        HeaderValue::from_static("text/html; charset=utf-8"),
    )];
    Ok((status, html, unbroken(&text)).into_response())
}

/// The page again, since its form has faults.
pub fn form_again(template: &impl Template) -> Answer {
    page_with(StatusCode::UNPROCESSABLE_ENTITY, template)
}

/// On to another page after a write; `path` lies below the base.
pub fn see_other(base: &Base, path: &str) -> Answer {
    let to = HeaderValue::try_from(base.link(path)).map_err(Error::unexpected)?;
    Ok((StatusCode::SEE_OTHER, [(header::LOCATION, to)]).into_response())
}

/// A page that must not stay anywhere: accounts, passwords, one-time links.
pub fn not_stored(answer: Answer) -> Answer {
    let mut response = answer?;
    response
        .headers_mut()
        .insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    Ok(response)
}

/// A text of this kind that somebody asks for again and again, or that it is the one which they have already.
pub fn news_of(asked: &HeaderMap, kind: &'static str, text: String, kept: &'static str) -> Answer {
    let digest = Sha256::digest(text.as_bytes());
    let short: String = digest
        .iter()
        .take(16)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    // Weak: the same text goes out compressed and plain.
    let tag = format!("W/\"{short}\"");
    let known = asked
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(','))
        .any(|one| {
            one.trim() == "*" || one.trim().trim_start_matches("W/") == format!("\"{short}\"")
        });
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
        (header::CACHE_CONTROL, HeaderValue::from_static(kept)),
        (
            header::ETAG,
            HeaderValue::try_from(tag).map_err(Error::unexpected)?,
        ),
    ];
    let answer: Response = match known {
        true => (StatusCode::NOT_MODIFIED, headers).into_response(),
        false => (headers, text).into_response(),
    };
    Ok(answer)
}
