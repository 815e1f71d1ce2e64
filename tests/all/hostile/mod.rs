//! The table of hostile inputs, walked over every route there is: other people's ids, bytes that are no text, floods.

mod bytes;
mod days;
mod edges;
mod others;

use mustwright::app;
use mustwright::web::paths::Route;
use reqwest::Method;

use crate::support::{Browser, Club, Page};

/// How somebody comes: with the cookies of a browser, or with a token too, which counts where programs ask.
struct Visitor<'a> {
    browser: Browser,
    token: Option<String>,
    club: &'a Club,
}

impl Visitor<'_> {
    /// Sends to a path as the route wants it.
    async fn send(&self, route: Route, path: &str, kind: &str, body: Vec<u8>) -> Page {
        let method: Method = method_of(route).parse().expect("a method");
        let mut request = self.browser.request(method.clone(), path);
        if let Some(token) = self.token.as_ref().filter(|_| path.starts_with("/api/")) {
            request = request.bearer_auth(token);
        }
        if method != Method::GET {
            request = request
                .header("origin", self.club.app.site.origin())
                .header("content-type", kind)
                .header("idempotency-key", "a-key-of-ten")
                .header("if-match", "\"1.private\"")
                .body(body);
        }
        self.browser.send(request).await
    }
}

fn method_of(route: Route) -> String {
    format!("{:?}", route.method).to_uppercase()
}

/// Routes with a value in their path.
fn with_values() -> Vec<Route> {
    let all = app::routes().into_iter();
    let found: Vec<Route> = all.filter(|route| route.path.contains('{')).collect();
    assert!(found.len() >= 20, "the table is walked, not an empty list");
    found
}
