//! From a page struct to a response.

use askama::Template;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::error::Error;
use super::paths::Base;

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
    Ok((status, html, text).into_response())
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
