//! The cookie that holds a session's token: its name and its marks follow the address of the site.

use axum::http::{HeaderMap, HeaderValue, header};

use crate::web::Error;
use crate::web::site::Site;

/// Browsers keep it for 30 days; the database decides when the session ends.
const MAX_AGE: u32 = 30 * 24 * 60 * 60;

/// `__Host-` at the root over https, `__Secure-` on a path over https, a plain name over http.
fn name(site: &Site) -> &'static str {
    match (site.is_https(), site.base().as_str()) {
        (true, "") => "__Host-mustwright",
        (true, _) => "__Secure-mustwright",
        (false, _) => "mustwright",
    }
}

fn line(site: &Site, value: &str, max_age: u32) -> Result<HeaderValue, Error> {
    let path = match site.base().as_str() {
        "" => "/",
        base => base,
    };
    let secure = if site.is_https() { "; Secure" } else { "" };
    let text = format!(
        "{}={value}; Path={path}; Max-Age={max_age}; HttpOnly; SameSite=Lax{secure}",
        name(site)
    );
    HeaderValue::try_from(text).map_err(Error::unexpected)
}

/// The Set-Cookie line that hands a token over.
pub fn give(site: &Site, token: &str) -> Result<HeaderValue, Error> {
    line(site, token, MAX_AGE)
}

/// The Set-Cookie line that takes it back.
pub fn take(site: &Site) -> Result<HeaderValue, Error> {
    line(site, "", 0)
}

/// The token that a browser sent.
pub fn read(site: &Site, headers: &HeaderMap) -> Option<String> {
    let lines = headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok());
    let mut pairs = lines
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='));
    let (_, token) = pairs.find(|(found, _)| *found == name(site))?;
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
            assert_eq!(give(&Site::new("Club", url), "t").unwrap(), wanted);
        }
    }
}
