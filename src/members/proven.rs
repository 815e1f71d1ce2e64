//! A member who proved a moment ago who they are: demanded by whatever changes how somebody comes in.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

use super::sessions::Standing;
use crate::web::Error;
use crate::web::viewer::{Member, Viewer};

/// As a handler's argument it demands a fresh proof: others are asked for their password, and for the second step if
/// they have one. What they typed is carried through.
#[derive(Clone, Debug)]
pub struct Proven(pub Member);

impl<S: Send + Sync> FromRequestParts<S> for Proven {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        let standing = parts.extensions.get::<Standing>().copied();
        let viewer = parts.extensions.get::<Viewer>();
        viewer
            .and_then(Viewer::member)
            .filter(|_| standing.is_some_and(|standing| standing.is_proven))
            .cloned()
            .map(Proven)
            .ok_or_else(Error::sign_in)
    }
}
