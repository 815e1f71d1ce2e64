//! The table of hostile inputs, walked over every route there is: other people's ids, bytes that are no text, floods.

mod bytes;
mod days;
mod edges;
mod everything;
mod others;

use std::sync::atomic::{AtomicU64, Ordering};

use mustwright::app;
use mustwright::web::grant::Grant;
use mustwright::web::paths::Route;
use reqwest::Method;

use crate::support::{Browser, Club, Page, Person};

/// How somebody comes: with the cookies of a browser, or with a token too, which counts where programs ask.
struct Visitor<'a> {
    browser: Browser,
    token: Option<String>,
    club: &'a Club,
    /// What the keys of forms begin with that were made for them.
    whose: String,
}

/// Numbers of forms, each of which has a key of its own.
static FORMS: AtomicU64 = AtomicU64::new(0);

impl<'a> Visitor<'a> {
    fn stranger(club: &'a Club) -> Visitor<'a> {
        Visitor {
            browser: club.browser(),
            token: None,
            club,
            whose: "-".to_owned(),
        }
    }

    /// Somebody with cookies, and with a token that may write.
    async fn of(club: &'a Club, person: &Person) -> Visitor<'a> {
        let whose = sqlx::query_scalar("select public_id from members where id = $1");
        Visitor {
            browser: club.browser_of(person).await,
            token: Some(club.token_of(person, Grant::Write).await),
            club,
            whose: whose
                .bind(person.id)
                .fetch_one(club.pool())
                .await
                .expect("a member"),
        }
    }

    /// Sends to a path as the route wants it, a form with a fresh key of this visitor's: nothing is refused for lack of one
    /// before anybody asks whose things these are.
    async fn send(&self, route: Route, path: &str, kind: &str, mut body: Vec<u8>) -> Page {
        if kind.starts_with("application/x-www-form-urlencoded") {
            let number = FORMS.fetch_add(1, Ordering::Relaxed);
            let key = format!(
                "{}once={}.{number:026}",
                if body.is_empty() { "" } else { "&" },
                self.whose
            );
            body.extend(key.into_bytes());
        }
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
