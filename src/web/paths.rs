//! Routes as data: each feature lists its own in `paths.rs`, and routers are built from those lists only.
//!
//! A feature's `paths.rs` has one constant per route and `ROUTES` with all of them:
//!
//! ```text
//! pub const LIST: Route = Route::get("/recipes", Action::TakePart);
//! pub const SAVE: Route = Route::post("/recipes/{id}", Action::Change);
//! pub const ROUTES: &[Route] = &[LIST, SAVE];
//! ```
//!
//! Its `pages.rs` binds a handler to each: `Routes::of(paths::ROUTES).on(paths::LIST, list).on(paths::SAVE, save).done()`.
//! A route that is bound but not listed, or listed but not bound, stops the server at its start, so the test that
//! walks the lists walks everything. The action decides the door at which a request is stopped before its handler.

use std::fmt;
use std::sync::Arc;

use axum::Router;
use axum::extract::Request;
use axum::handler::Handler;
use axum::middleware::{Next, from_fn};
use axum::response::{IntoResponse, Response};
use axum::routing::{delete, get, post, put};

use super::error::Error;
use super::grant::Grant;
use super::policy::{Action, Door};
use super::viewer::Viewer;

/// Reading or writing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Reads; HEAD goes with it.
    Get,
    /// Writes.
    Post,
    /// Writes the whole of a thing anew; programs only, no form knows it.
    Put,
    /// Removes; programs only.
    Delete,
}

/// One entry of a feature's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Route {
    /// Reading or writing.
    pub method: Method,
    /// The path below the base, with `{name}` where a value stands.
    pub path: &'static str,
    /// What the route is for.
    pub action: Action,
}

impl Route {
    /// A route that reads.
    pub const fn get(path: &'static str, action: Action) -> Route {
        Route {
            method: Method::Get,
            path,
            action,
        }
    }

    /// A route that writes.
    pub const fn post(path: &'static str, action: Action) -> Route {
        Route {
            method: Method::Post,
            path,
            action,
        }
    }

    /// A route that writes the whole of a thing anew.
    pub const fn put(path: &'static str, action: Action) -> Route {
        Route {
            method: Method::Put,
            path,
            action,
        }
    }

    /// A route that removes.
    pub const fn delete(path: &'static str, action: Action) -> Route {
        Route {
            method: Method::Delete,
            path,
            action,
        }
    }

    /// The path below the base with `values` in the places of its `{name}`s, in order.
    pub fn with(&self, values: &[&str]) -> String {
        let mut values = values.iter();
        let segments = self
            .path
            .split('/')
            .map(|segment| match segment.starts_with('{') {
                true => values.next().copied().unwrap_or(segment),
                false => segment,
            });
        segments.collect::<Vec<_>>().join("/")
    }
}

/// The path under which the whole site lives: empty, or like `/club`. Written before every path: `{{ base }}/recipes`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Base(Arc<str>);

impl Base {
    /// A base from a path without its last slash.
    pub fn new(path: &str) -> Base {
        Base(path.trim_end_matches('/').into())
    }

    /// The full path of a path below the base.
    pub fn link(&self, path: &str) -> String {
        format!("{}{path}", self.0)
    }

    /// A path that someone asked to be led to, if it lies on this site: a full path with its base, of plain characters,
    /// which no browser and no second decoding takes for another address.
    pub fn local<'a>(&self, asked: &'a str) -> Option<&'a str> {
        let plain = |c: char| c.is_ascii_alphanumeric() || "-._~/?=&%+,".contains(c);
        let safe = |text: &str| {
            text.starts_with('/')
                && !text.contains("//")
                && !text.contains(['\\', '@', ':'])
                && !text.chars().any(char::is_control)
                && !text
                    .split(['/', '?'])
                    .any(|part| part == "." || part == "..")
        };
        let once = decoded(asked);
        let twice = decoded(&once);
        let below = asked
            .strip_prefix(&*self.0)
            .is_some_and(|rest| rest.starts_with('/'));
        let whole = asked.len() <= 2_000 && asked.chars().all(plain);
        (whole && below && [asked, &once, &twice].into_iter().all(safe)).then_some(asked)
    }

    /// What a full path is below the base.
    pub fn below<'a>(&self, path: &'a str) -> &'a str {
        path.strip_prefix(&*self.0).unwrap_or(path)
    }

    /// The base itself.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A text with its `%` escapes undone.
pub(crate) fn decoded(text: &str) -> String {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).and_then(|byte| (*byte as char).to_digit(16));
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while let Some(byte) = bytes.get(at) {
        match (byte, digit(at + 1), digit(at + 2)) {
            (b'%', Some(high), Some(low)) => {
                out.push((high * 16 + low) as u8);
                at += 3;
            }
            _ => {
                out.push(*byte);
                at += 1;
            }
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

impl fmt::Display for Base {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The route that answered, left in the response for the log: the pattern, never the path, which may hold a secret.
#[derive(Clone, Copy, Debug)]
pub struct Answered(pub Route);

/// A router under construction from a feature's list.
pub struct Routes<S> {
    listed: &'static [Route],
    bound: Vec<Route>,
    router: Router<S>,
}

impl<S: Clone + Send + Sync + 'static> Routes<S> {
    /// Starts from the list.
    pub fn of(listed: &'static [Route]) -> Self {
        Routes {
            listed,
            bound: Vec::new(),
            router: Router::new(),
        }
    }

    /// Binds a handler to a listed route.
    ///
    /// # Panics
    /// When the route is not in the list: a fault of ours, seen at the first start.
    pub fn on<H, T>(mut self, route: Route, handler: H) -> Self
    where
        H: Handler<T, S>,
        T: 'static,
    {
        assert!(
            self.listed.contains(&route),
            "{route:?} is bound but not listed"
        );
        let handler = match route.method {
            Method::Get => get(handler),
            Method::Post => post(handler),
            Method::Put => put(handler),
            Method::Delete => delete(handler),
        };
        let guarded = handler.route_layer(from_fn(move |request, next| {
            ask_at_the_door(route, request, next)
        }));
        self.router = self.router.route(route.path, guarded);
        self.bound.push(route);
        self
    }

    /// The finished router.
    ///
    /// # Panics
    /// When a listed route has no handler: a fault of ours, seen at the first start.
    pub fn done(self) -> Router<S> {
        for route in self.listed {
            assert!(
                self.bound.contains(route),
                "{route:?} is listed but not bound"
            );
        }
        self.router
    }
}

/// Stops whoever may not come in. What is forbidden looks like what does not exist.
async fn ask_at_the_door(route: Route, request: Request, next: Next) -> Response {
    let viewer = request
        .extensions()
        .get::<Viewer>()
        .cloned()
        .unwrap_or_default();
    let grant = request.extensions().get::<Grant>().copied();
    let mut response = match (route.action.door(), viewer.member()) {
        (Door::Members | Door::Organisers | Door::Keepers, Some(_))
            if grant.is_some_and(|by| !by.opens(route)) =>
        {
            Error::out_of_reach().into_response()
        }
        (Door::Open, _) | (Door::Members, Some(_)) => next.run(request).await,
        (Door::Organisers, Some(_)) if viewer.organises() => next.run(request).await,
        (Door::Keepers, Some(_)) if viewer.is_keeper() => next.run(request).await,
        (Door::Organisers | Door::Keepers, Some(member)) => {
            tracing::warn!(member = member.id.0, route = route.path, "denied");
            Error::not_found().into_response()
        }
        (_, None) => Error::sign_in().into_response(),
    };
    response.extensions_mut().insert(Answered(route));
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_paths_of_this_site_are_local() {
        let (root, club) = (Base::new(""), Base::new("/club"));
        for path in [
            "/",
            "/recipes",
            "/recipes/abc?volume=5%20gal&x=1,5",
            "/recipes/a-b_c.d~e",
        ] {
            assert_eq!(root.local(path), Some(path));
        }
        assert_eq!(club.local("/club/recipes"), Some("/club/recipes"));
        for path in [
            "",
            "recipes",
            "//evil.example",
            "///evil.example",
            "/\\evil.example",
            "\\\\evil.example",
            "/a\\b",
            "https://evil.example",
            "https:evil.example",
            "javascript:alert(1)",
            "JaVaScRiPt:alert(1)",
            "data:text/html,x",
            "/\tevil.example",
            "/\t/evil.example",
            "/\n/evil.example",
            "/\r\nSet-Cookie: a=b",
            "/%0d%0aSet-Cookie:a=b",
            "/%09/evil.example",
            "/%2fevil.example",
            "/%2Fevil.example",
            "/%5cevil.example",
            "/%5Cevil.example",
            "%2f%2fevil.example",
            "/%252fevil.example",
            "/%255cevil.example",
            "@evil.example",
            "/@evil.example",
            "/%40evil.example",
            "/a@evil.example",
            "/.//evil.example",
            "/..//evil.example",
            "/../x",
            "/a/%2e%2e/x",
            "/%00",
            "/\u{0}",
            " /recipes",
            "/ recipes",
            "/r\u{e9}cipes",
            "/\u{2215}evil.example",
            "/x:y",
            "?next=/x",
            "#x",
            "/x#y",
        ] {
            assert_eq!(root.local(path), None, "{path:?}");
        }
        for path in ["/recipes", "/clubbing", "/club", "//club/x"] {
            assert_eq!(club.local(path), None, "{path:?}");
        }
    }

    #[test]
    fn values_take_their_places() {
        let route = Route::get("/recipes/{id}/revisions/{number}", Action::See);
        assert_eq!(route.with(&["abc", "3"]), "/recipes/abc/revisions/3");
        assert_eq!(Base::new("/club/").link("/recipes"), "/club/recipes");
        assert_eq!(Base::new("").link("/"), "/");
    }
}
