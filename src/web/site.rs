//! What every page says of the site itself: the club's name, where it lives, and the shell around a page.

use std::sync::Arc;

use super::assets::asset;
use super::paths::Base;
use super::shell::{Nav, Shell};
use super::viewer::Viewer;

/// The site as its pages know it.
#[derive(Clone, Debug)]
pub struct Site {
    club_name: Arc<str>,
    /// `https://host:port`, as a browser writes an origin.
    origin: Arc<str>,
    base: Base,
}

impl Site {
    /// A site of a club at `base_url`, which has no query and no closing slash.
    pub fn new(club_name: &str, base_url: &str) -> Site {
        let host_at = base_url.find("://").map_or(0, |at| at + 3);
        let path_at = base_url[host_at..]
            .find('/')
            .map_or(base_url.len(), |at| host_at + at);
        Site {
            club_name: club_name.into(),
            origin: base_url[..path_at].into(),
            base: Base::new(&base_url[path_at..]),
        }
    }

    /// The club's name.
    pub fn club_name(&self) -> &str {
        &self.club_name
    }

    /// Scheme, host and port.
    pub fn origin(&self) -> &str {
        &self.origin
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
        let shell = Shell::new(self.club_name(), self.base.as_str())
            .with_assets(file("app.css"), file("live.js"), file("icons.svg"))
            .in_theme(viewer.settings().theme);
        let mut shell = match viewer.member() {
            Some(member) => shell.for_member(member.name.clone()),
            None => shell,
        };
        if viewer.is_keeper() {
            shell.places.push(Nav::Keeper);
        }
        shell.plain_http_warning = viewer.is_keeper() && !self.is_https();
        shell
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
