//! What every page says of the site itself: the club's name, where it lives, and the shell around a page.

use std::sync::{Arc, Mutex, PoisonError};

use sqlx::PgConnection;

use super::assets::asset;
use super::money::Currency;
use super::paths::Base;
use super::shell::{Nav, Shell};
use super::store;
use super::viewer::Viewer;

/// What the club calls itself and says of itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Club {
    /// The name, on every page.
    pub name: Arc<str>,
    /// Plain paragraphs for the first page; empty where nobody wrote any.
    pub about: Arc<str>,
    /// What an edit must have seen; 0 while the name is that of the server's settings.
    pub version: i32,
}

impl Club {
    /// What it says of itself, paragraph by paragraph.
    pub fn paragraphs(&self) -> Vec<String> {
        self.about
            .replace("\r\n", "\n")
            .split("\n\n")
            .map(|paragraph| paragraph.trim().to_owned())
            .filter(|paragraph| !paragraph.is_empty())
            .collect()
    }
}

/// The site as its pages know it. Cheap to clone; clones share what they know of the club.
#[derive(Clone, Debug)]
pub struct Site {
    club: Arc<Mutex<Club>>,
    /// `https://host:port`, as a browser writes an origin.
    origin: Arc<str>,
    base: Base,
    currency: Currency,
}

impl Site {
    /// A site of a club at `base_url`, which has no query and no closing slash. The name holds until the club has
    /// given itself one.
    pub fn new(club_name: &str, base_url: &str) -> Site {
        let host_at = base_url.find("://").map_or(0, |at| at + 3);
        let path_at = base_url[host_at..]
            .find('/')
            .map_or(base_url.len(), |at| host_at + at);
        Site {
            club: Arc::new(Mutex::new(Club {
                name: club_name.into(),
                about: "".into(),
                version: 0,
            })),
            origin: base_url[..path_at].into(),
            base: Base::new(&base_url[path_at..]),
            currency: Currency::default(),
        }
    }

    /// The club as it was read last.
    pub fn club(&self) -> Club {
        self.club
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// The same site with prices in this currency.
    pub fn in_currency(self, currency: Currency) -> Site {
        Site { currency, ..self }
    }

    /// The currency of every price.
    pub fn currency(&self) -> Currency {
        self.currency
    }

    /// The club's name.
    pub fn club_name(&self) -> Arc<str> {
        self.club().name
    }

    /// Asks whether the club has another name or text by now, and reads it if so: a keeper may have changed it
    /// through another server.
    ///
    /// # Errors
    /// The database.
    pub async fn look_again(&self, conn: &mut PgConnection) -> Result<(), sqlx::Error> {
        let known = self.club().version;
        if let Some(club) = store::newer_club(conn, known).await? {
            *self.club.lock().unwrap_or_else(PoisonError::into_inner) = club;
        }
        Ok(())
    }

    /// Scheme, host and port.
    pub fn origin(&self) -> &str {
        &self.origin
    }

    /// The name of the site, with its port if it has one of its own.
    pub fn host(&self) -> &str {
        self.origin().split("://").nth(1).unwrap_or("club")
    }

    /// The path under which everything lives.
    pub fn base(&self) -> &Base {
        &self.base
    }

    /// Whether browsers come over https.
    pub fn is_https(&self) -> bool {
        self.origin.starts_with("https://")
    }

    /// The whole address of a path below the base.
    pub fn address(&self, path: &str) -> String {
        format!("{}{}", self.origin, self.base.link(path))
    }

    /// What stands around a page for this viewer.
    pub fn shell(&self, viewer: &Viewer) -> Shell {
        let file = |name| self.base.link(asset(name));
        let shell = Shell::new(&*self.club_name(), self.base.as_str())
            .with_assets(file("app.css"), file("live.js"), file("icons.svg"))
            .in_theme(viewer.settings().theme);
        let mut shell = match viewer.member() {
            Some(member) => shell.for_member(member.name.clone()),
            None => shell,
        };
        if viewer.is_keeper() {
            shell.places.push(Nav::Keeper);
        }
        shell.book_closed = viewer.book_closed();
        shell.plain_http_warning = viewer.is_keeper() && !self.is_https();
        shell
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_comes_apart_in_paragraphs() {
        let club = Club {
            name: "Club".into(),
            about: "One\r\nstill one\r\n\r\n\r\n Two \n\n".into(),
            version: 1,
        };
        assert_eq!(club.paragraphs(), ["One\nstill one", "Two"]);
    }

    #[test]
    fn address_comes_apart() {
        let site = Site::new("Club", "https://mead.example:8443/club");
        assert_eq!(site.origin(), "https://mead.example:8443");
        assert_eq!(site.base().as_str(), "/club");
        assert_eq!(
            site.address("/sign-in"),
            "https://mead.example:8443/club/sign-in"
        );
        assert!(!Site::new("Club", "http://127.0.0.1:8420").is_https());
    }
}
