//! The cookies that hold tokens, of a session and of a sign-in that is half done: their names and marks follow the
//! address of the site.

use axum::http::{HeaderMap, HeaderValue, header};

use crate::web::Error;
use crate::web::site::Site;

/// Browsers keep that of a session for 30 days; the database decides when the session ends.
const SESSION_AGE: u32 = 30 * 24 * 60 * 60;
/// They keep that of a half done sign-in for ten minutes; the database decides here too.
const HALF_AGE: u32 = 10 * 60;

/// What a cookie is for.
#[derive(Clone, Copy)]
enum Of {
    Session,
    Half,
}

/// `__Host-` at the root over https, `__Secure-` on a path over https, a plain name over http.
fn name(site: &Site, of: Of) -> String {
    let prefix = match (site.is_https(), site.base().as_str()) {
        (true, "") => "__Host-",
        (true, _) => "__Secure-",
        (false, _) => "",
    };
    let end = match of {
        Of::Session => "",
        Of::Half => "-half",
    };
    format!("{prefix}mustwright{end}")
}

fn line(site: &Site, of: Of, value: &str, max_age: u32) -> Result<HeaderValue, Error> {
    let path = match site.base().as_str() {
        "" => "/",
        base => base,
    };
    let secure = if site.is_https() { "; Secure" } else { "" };
    let text = format!(
        "{}={value}; Path={path}; Max-Age={max_age}; HttpOnly; SameSite=Lax{secure}",
        name(site, of)
    );
    HeaderValue::try_from(text).map_err(Error::unexpected)
}

/// The Set-Cookie line that hands a session's token over.
pub fn give(site: &Site, token: &str) -> Result<HeaderValue, Error> {
    line(site, Of::Session, token, SESSION_AGE)
}

/// The Set-Cookie line that takes it back.
pub fn take(site: &Site) -> Result<HeaderValue, Error> {
    line(site, Of::Session, "", 0)
}

/// The session's token that a browser sent.
pub fn read(site: &Site, headers: &HeaderMap) -> Option<String> {
    token_in(&name(site, Of::Session), headers)
}

/// The Set-Cookie line that hands the token of a half done sign-in over.
pub fn give_half(site: &Site, token: &str) -> Result<HeaderValue, Error> {
    line(site, Of::Half, token, HALF_AGE)
}

/// The Set-Cookie line that takes it back.
pub fn take_half(site: &Site) -> Result<HeaderValue, Error> {
    line(site, Of::Half, "", 0)
}

/// The token of a half done sign-in that a browser sent.
pub fn read_half(site: &Site, headers: &HeaderMap) -> Option<String> {
    token_in(&name(site, Of::Half), headers)
}

fn token_in(name: &str, headers: &HeaderMap) -> Option<String> {
    let lines = headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok());
    let mut pairs = lines
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='));
    let (_, token) = pairs.find(|(found, _)| *found == name)?;
    (token.len() == 52).then(|| token.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_follow_the_address() {
        for (url, wanted) in [
            (
                "https://mead.example",
                "__Host-mustwright=t; Path=/; Max-Age=2592000; HttpOnly; SameSite=Lax; Secure",
            ),
            (
                "https://mead.example/club",
                "__Secure-mustwright=t; Path=/club; Max-Age=2592000; HttpOnly; SameSite=Lax; Secure",
            ),
            (
                "http://127.0.0.1:8420",
                "mustwright=t; Path=/; Max-Age=2592000; HttpOnly; SameSite=Lax",
            ),
        ] {
            let site = Site::new("Club", url);
            assert_eq!(give(&site, "t").unwrap(), wanted);
            let half = wanted.replace("mustwright=", "mustwright-half=");
            let half = half.replace("2592000", "600");
            assert_eq!(give_half(&site, "t").unwrap(), half);
        }
    }
}
