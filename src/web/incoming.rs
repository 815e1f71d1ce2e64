//! The form of a request: read before anything else, and kept for whoever must be asked to send it again.

use std::time::Duration;

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::http::request::Parts;
use axum::http::{Method, header};

use super::error::Error;
use super::form::{CARRIED_BYTES, CARRIED_FIELDS, MAX_BYTES, MAX_FIELDS, Posted, Unreadable};
use super::room::Large;
use super::socket::Patience;
use super::upload::{self, Begun, Rest};

/// How long a body may take to arrive, unless the connection is less patient.
pub(super) const BODY_TIME: Duration = Duration::from_secs(30);
/// The longest path and query.
const MAX_URI: usize = 8 * 1024;

/// What somebody typed, for a page that offers it again: the form, or of one with a file what can be kept.
#[derive(Clone, Debug, Default)]
pub struct Kept(pub Posted);

/// A request whose form was looked at.
pub(super) struct Read {
    pub request: Request,
    /// The form, as far as that is text.
    pub posted: Posted,
    pub kept: Kept,
    /// What is still to come of one with a file.
    pub rest: Option<Rest>,
}

impl Read {
    fn without_form(request: Request) -> Read {
        Read {
            request,
            posted: Posted::default(),
            kept: Kept::default(),
            rest: None,
        }
    }
}

/// A request that is answered before any handler sees it.
pub(super) struct Refused {
    pub error: Error,
    /// What arrived of it all the same.
    pub kept: Kept,
}

impl From<Error> for Refused {
    fn from(error: Error) -> Refused {
        Refused {
            error,
            kept: Kept::default(),
        }
    }
}

/// Reads the form of a request.
///
/// # Errors
/// What is too long, too slow, or no text.
pub(super) async fn read_form(request: Request) -> Result<Read, Refused> {
    if request
        .uri()
        .path_and_query()
        .is_some_and(|text| text.as_str().len() > MAX_URI)
    {
        return Err(Error::too_large().into());
    }
    // No text of ours holds it and no database stores it, in whatever place of an address it stands.
    if request.uri().to_string().contains("%00") {
        return Err(Error::bad_request(
            "The address holds a zero character, which no text has. Take it out.",
        )
        .into());
    }
    let kind = request
        .headers()
        .get(header::CONTENT_TYPE)
        .and_then(|value| value.to_str().ok());
    let is_form = kind.is_some_and(|kind| {
        kind.trim_start()
            .starts_with("application/x-www-form-urlencoded")
    });
    if request.method() == Method::POST && kind.is_some_and(may_hold_a_file) {
        return match is_short(&request) {
            true => Ok(read_without_file(request).await?),
            false => read_with_file(request).await,
        };
    }
    if request.method() != Method::POST || !is_form {
        return Ok(Read::without_form(request));
    }
    let path = request.uri().path();
    let carries = path.ends_with("/sign-in") || path.contains("/sign-in/");
    let (max_bytes, max_fields) = match carries {
        true => (MAX_BYTES + CARRIED_BYTES, MAX_FIELDS + CARRIED_FIELDS),
        false => (MAX_BYTES, MAX_FIELDS),
    };
    let (parts, body) = request.into_parts();
    let bytes = whole(&parts, body, max_bytes).await?;
    let posted = Posted::read(&bytes, max_fields).map_err(|why| match why {
        Unreadable::TooManyFields => {
            Error::bad_request("The form has more fields than this page can take.")
        }
        Unreadable::NotText => {
            Error::bad_request("The form holds bytes that are no text. Go back and type it again.")
        }
        Unreadable::ZeroCharacter => Error::bad_request(
            "The form holds a zero character, which no text has. Go back and remove it.",
        ),
    })?;
    Ok(Read {
        kept: Kept(posted.clone()),
        posted,
        ..Read::without_form(Request::from_parts(parts, Body::from(bytes)))
    })
}

/// How long the body of a request may take.
fn time_for_body(parts: &Parts) -> Duration {
    let patience = parts.extensions.get::<Patience>();
    patience.map_or(BODY_TIME, |patience| patience.body)
}

async fn whole(parts: &Parts, body: Body, max_bytes: usize) -> Result<Bytes, Error> {
    match tokio::time::timeout(time_for_body(parts), to_bytes(body, max_bytes)).await {
        Ok(Ok(bytes)) => Ok(bytes),
        Ok(Err(_)) => Err(Error::too_large()),
        Err(_) => Err(Error::too_slow()),
    }
}

fn may_hold_a_file(kind: &str) -> bool {
    kind.trim_start().starts_with("multipart/form-data")
}

/// Whether a body says that it is no longer than a form without a file may be.
fn is_short(request: &Request) -> bool {
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    length.is_some_and(|length| length <= MAX_BYTES)
}

fn kind_of(parts: &Parts) -> &str {
    let kind = parts.headers.get(header::CONTENT_TYPE);
    kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default()
}

/// A form in which a file could have been chosen: its handler reads it; where none was chosen, what was typed is carried on.
async fn read_without_file(request: Request) -> Result<Read, Error> {
    let (parts, body) = request.into_parts();
    let bytes = whole(&parts, body, MAX_BYTES).await?;
    let kind = kind_of(&parts);
    let typed = upload::texts(kind, &bytes).unwrap_or_default();
    let (posted, kept) = match typed.iter().any(upload::is_typed) {
        true => (Posted::from_pairs(typed.clone()), typed),
        false => (Posted::default(), upload::keepable(kind, &bytes)),
    };
    Ok(Read {
        posted,
        kept: Kept(Posted::from_pairs(kept)),
        ..Read::without_form(Request::from_parts(parts, Body::from(bytes)))
    })
}

/// A form with a file: its handler reads it, and the texts before the file are kept, should it not come to that.
async fn read_with_file(request: Request) -> Result<Read, Refused> {
    let (mut parts, body) = request.into_parts();
    let mut begun = Begun::of(body);
    let came = tokio::time::timeout(time_for_body(&parts), begun.read(MAX_BYTES)).await;
    let kept = upload::keepable(kind_of(&parts), begun.bytes());
    let kept = Kept(Posted::from_pairs(kept));
    if let Err(error) = came.unwrap_or_else(|_| Err(Error::too_slow())) {
        return Err(Refused { error, kept });
    }
    parts.extensions.insert(Large);
    let (body, rest) = begun.rejoined();
    Ok(Read {
        kept,
        rest: Some(rest),
        ..Read::without_form(Request::from_parts(parts, body))
    })
}
