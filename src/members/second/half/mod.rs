//! A sign-in that is half done: name and password were right, the second step is still to come. It is no session; a
//! cookie of its own holds its token, and it opens one page.

pub mod store;

use axum::http::{HeaderMap, HeaderValue};
use sqlx::PgConnection;

use crate::members::cookie;
use crate::web::site::Site;
use crate::web::viewer::MemberId;
use crate::web::{Error, random};

/// Whose sign-in is half done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Half {
    /// Key inside the database.
    pub id: MemberId,
    /// Random id for addresses.
    pub public_id: String,
    /// The name as shown.
    pub name: String,
    /// The name as compared.
    pub name_key: String,
}

/// Begins one: the line that hands its cookie over.
pub async fn begin(
    conn: &mut PgConnection,
    site: &Site,
    member: MemberId,
) -> Result<HeaderValue, Error> {
    let token = random::token()?;
    store::begin(conn, member, &random::hash_of(&token)).await?;
    cookie::give_half(site, &token)
}

/// The one of a browser, if it is still good.
pub async fn find(
    conn: &mut PgConnection,
    site: &Site,
    headers: &HeaderMap,
) -> Result<Option<Half>, Error> {
    match cookie::read_half(site, headers) {
        Some(token) => store::find(conn, &random::hash_of(&token)).await,
        None => Ok(None),
    }
}

/// Ends the one of a browser; of many at once, one gets true.
pub async fn end(conn: &mut PgConnection, site: &Site, headers: &HeaderMap) -> Result<bool, Error> {
    match cookie::read_half(site, headers) {
        Some(token) => store::end(conn, &random::hash_of(&token)).await,
        None => Ok(false),
    }
}
