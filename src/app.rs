//! The state every handler shares, the routers merged, the layers in order.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, FromRef, Request, State};
use axum::http::{StatusCode, Uri};
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use chrono::{DateTime, Utc};
use sqlx::PgPool;
use tower::{ServiceBuilder, ServiceExt};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::{CompressionLayer, CompressionLevel};
use tower_http::timeout::TimeoutLayer;

use crate::backup::Nightly;
use crate::catalogue::own::Remembered;
use crate::mail::Mail;
use crate::members::passwords::Hasher;
use crate::members::second::passkeys::Passkeys;
use crate::members::second::rule::Rule;
use crate::web::again::try_again;
use crate::web::answers::{Plain, answer};
use crate::web::clock::Clock;
use crate::web::error::Error;
use crate::web::form::MAX_BYTES;
use crate::web::paths::{Base, Route};
use crate::web::room::Room;
use crate::web::shell::Shell;
use crate::web::site::Site;
use crate::web::trusted::Trusted;
use crate::web::viewer::Viewer;
use crate::web::{assets, guards, headers};
use crate::{
    admin, api, batches, calculations, catalogue, club, competitions, cupboard, database, feeds,
    home, mail, meetings, members, orders, portability, recipes, safety, shelf, tastings, vessels,
};

/// The longest that a request may take altogether.
const REQUEST_TIME: Duration = Duration::from_secs(30);

/// What every handler shares. Cheap to clone.
#[derive(Clone)]
pub struct App {
    /// Connections to the database.
    pub pool: PgPool,
    /// The club's name and address.
    pub site: Site,
    /// The time.
    pub clock: Clock,
    /// The club's catalogue, as it was read last.
    pub catalogue: Remembered,
    /// The threads that hash passwords.
    pub hasher: Hasher,
    /// What sends letters, if anything does.
    pub mail: Mail,
    /// Of whom a second step at sign-in is demanded.
    pub second_step: Rule,
    /// Passkeys, where browsers know them at this address.
    pub passkeys: Option<Passkeys>,
    /// Whose X-Forwarded-For is believed.
    pub trusted_proxies: Arc<Trusted>,
    /// Room for forms with a large file in them.
    pub room: Room,
    /// How often a token may be used within a minute.
    pub api_per_minute: i32,
    /// Since when it serves.
    pub started_at: DateTime<Utc>,
    /// Where the database lies, if it is a private one.
    pub data_dir: Option<Arc<Path>>,
    /// What makes backups by itself, where the settings name a place for them.
    pub backups: Option<Arc<Nightly>>,
    /// Set once the server is told to stop.
    pub stopping: Arc<AtomicBool>,
}

impl App {
    /// What stands around a page for this viewer.
    pub fn shell(&self, viewer: &Viewer) -> Shell {
        self.site.shell(viewer)
    }
}

impl FromRef<App> for Site {
    fn from_ref(app: &App) -> Site {
        app.site.clone()
    }
}

/// Every route of the site, feature by feature: what the router is built from and what the tests walk.
pub fn routes() -> Vec<Route> {
    [
        home::paths::ROUTES,
        portability::paths::ROUTES,
        members::paths::ROUTES,
        members::second::paths::ROUTES,
        mail::paths::ROUTES,
        catalogue::paths::ROUTES,
        cupboard::paths::ROUTES,
        shelf::paths::ROUTES,
        orders::paths::ROUTES,
        meetings::paths::ROUTES,
        club::paths::ROUTES,
        recipes::paths::ROUTES,
        recipes::opinions::paths::ROUTES,
        recipes::pairings::paths::ROUTES,
        batches::paths::ROUTES,
        tastings::paths::ROUTES,
        competitions::paths::ROUTES,
        competitions::organise::paths::ROUTES,
        competitions::entering::paths::ROUTES,
        competitions::desk::paths::ROUTES,
        competitions::flights::paths::ROUTES,
        competitions::judging::paths::ROUTES,
        competitions::results::paths::ROUTES,
        batches::bottling::paths::ROUTES,
        batches::cellar::paths::ROUTES,
        batches::labels::paths::ROUTES,
        admin::paths::ROUTES,
        api::paths::ROUTES,
        api::paths::OF_MEMBERS,
        api::paths::OF_SENSORS,
        feeds::paths::ROUTES,
        safety::paths::ROUTES,
        calculations::paths::ROUTES,
        vessels::paths::ROUTES,
    ]
    .concat()
}

/// The whole site.
pub fn router(app: App) -> Router {
    let pages = Router::new()
        .merge(home::pages::router())
        .merge(members::pages::router())
        .merge(members::second::pages::router())
        .merge(mail::pages::router())
        .merge(catalogue::pages::router())
        .merge(cupboard::pages::router())
        .merge(shelf::pages::router())
        .merge(orders::pages::router())
        .merge(meetings::pages::router())
        .merge(club::pages::router())
        .merge(recipes::pages::router())
        .merge(recipes::opinions::pages::router())
        .merge(recipes::pairings::pages::router())
        .merge(batches::pages::router())
        .merge(tastings::pages::router())
        .merge(competitions::router())
        .merge(batches::bottling::pages::router())
        .merge(batches::cellar::pages::router())
        .merge(batches::labels::pages::router())
        .merge(admin::pages::router())
        .merge(feeds::pages::router())
        .merge(portability::pages::router())
        .merge(safety::pages::router())
        .merge(calculations::pages::router())
        .merge(vessels::pages::router())
        .merge(api::router())
        .merge(api::recipes::pages::router())
        .merge(api::readings::router());
    dressed(pages, app)
}

/// Pages in all their layers, with the static files and the health of the server beside them.
pub fn dressed(pages: Router<App>, app: App) -> Router {
    let pages = pages
        .fallback(|| async { Error::not_found() })
        .layer(from_fn_with_state(
            app.clone(),
            members::middleware::know_the_viewer,
        ));
    let whole = Router::new()
        .merge(pages)
        .merge(assets::router())
        .merge(health())
        .method_not_allowed_fallback(|| async { Error::method_not_allowed() });
    let based = match app.site.base().as_str() {
        "" => whole,
        _ => below_base(app.site.base().clone(), whole.with_state(app.clone())),
    };
    // The outermost comes first.
    let layers = ServiceBuilder::new()
        .layer(from_fn_with_state(app.site.clone(), headers::add))
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest))
        .layer(from_fn_with_state(app.site.clone(), answer))
        .layer(from_fn(try_again))
        .layer(TimeoutLayer::with_status_code(
            StatusCode::SERVICE_UNAVAILABLE,
            REQUEST_TIME,
        ))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(guards::csrf(&app.site))
        .layer(from_fn_with_state(app.site.clone(), guards::demand_origin))
        .layer(DefaultBodyLimit::max(MAX_BYTES * 2));
    based.layer(layers).with_state(app)
}

/// How the server is. Also outside the base: whoever asks for it asks this process, past any proxy and its paths.
fn health() -> Router<App> {
    Router::new()
        .route("/health/live", get(live))
        .route("/health/ready", get(ready))
}

/// The site under its path. Not `nest`, which does not know the path with its closing slash.
fn below_base(base: Base, site: Router) -> Router<App> {
    health().fallback(move |mut request: Request| async move {
        let below = request
            .uri()
            .path_and_query()
            .and_then(|full| below(&base, full.as_str()));
        let Some(uri) = below else {
            return Error::not_found().into_response();
        };
        *request.uri_mut() = uri;
        site.oneshot(request).await.into_response()
    })
}

fn below(base: &Base, full: &str) -> Option<Uri> {
    let rest = full.strip_prefix(base.as_str())?;
    match rest.chars().next() {
        Some('/') => rest.parse().ok(),
        None | Some('?') => format!("/{rest}").parse().ok(),
        Some(_) => None,
    }
}

fn panicked(_: Box<dyn std::any::Any + Send + 'static>) -> Response {
    Error::unexpected(std::io::Error::other("a handler panicked")).into_response()
}

async fn live() -> Response {
    plain(StatusCode::OK, "ok")
}

async fn ready(State(app): State<App>) -> Response {
    let asked = tokio::time::timeout(Duration::from_secs(2), database::is_there(&app.pool)).await;
    match asked {
        Ok(true) if !app.stopping.load(Ordering::Relaxed) => plain(StatusCode::OK, "ready"),
        _ => plain(StatusCode::SERVICE_UNAVAILABLE, "not ready"),
    }
}

fn plain(status: StatusCode, text: &'static str) -> Response {
    let mut response = (status, [("cache-control", "no-store")], text).into_response();
    response.extensions_mut().insert(Plain);
    response
}
