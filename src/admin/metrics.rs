//! The figures of this server as OpenMetrics text, for a listener of its own that members do not reach.

use std::fs;
use std::time::Duration;

use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::gauge::ConstGauge;
use prometheus_client::registry::{Registry, Unit};

use super::store;
use crate::app::App;
use crate::web::Error;
use crate::web::metrics::counts;

const OPEN_METRICS: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";
/// How long the database may take to tell its part; the rest is told without it.
const PATIENCE: Duration = Duration::from_secs(2);

/// What stands behind the second listener: `/metrics` and nothing else.
pub fn router(app: App) -> Router {
    Router::new().route("/metrics", get(show)).with_state(app)
}

async fn show(State(app): State<App>) -> Response {
    let asked = tokio::time::timeout(PATIENCE, ask(&app)).await;
    let club = asked.ok().and_then(Result::ok);
    let mut registry = Registry::default();
    let ours = registry.sub_registry_with_prefix("mustwright");
    counts().tell(ours);
    tell_server(&app, ours);
    let up = i64::from(club.is_some());
    ours.register(
        "database_up",
        "Whether the database answers",
        ConstGauge::new(up),
    );
    if let Some(club) = club {
        tell_club(&app, &club, ours);
    }
    tell_process(&app, registry.sub_registry_with_prefix("process"));
    let mut text = String::new();
    match encode(&mut text, &registry) {
        Ok(()) => ([(header::CONTENT_TYPE, OPEN_METRICS)], text).into_response(),
        Err(cause) => Error::unexpected(cause).into_response(),
    }
}

async fn ask(app: &App) -> Result<store::Club, Error> {
    let mut conn = app.pool.acquire().await?;
    store::club_in_figures(&mut conn).await
}

fn tell_server(app: &App, registry: &mut Registry) {
    let pool = &app.pool;
    for (name, help, value) in [
        (
            "pool_connections",
            "Connections to the database that are open",
            u64::from(pool.size()),
        ),
        (
            "pool_connections_idle",
            "Connections to the database that nobody uses",
            pool.num_idle() as u64,
        ),
        (
            "pool_connections_most",
            "Connections to the database that may be open",
            u64::from(pool.options().get_max_connections()),
        ),
        (
            "passwords_waiting",
            "Passwords that wait to be hashed",
            app.hasher.waiting() as u64,
        ),
    ] {
        registry.register(name, help, gauge(value));
    }
}

fn tell_club(app: &App, club: &store::Club, registry: &mut Registry) {
    for (name, help, value) in [
        ("members", "Members, also those who left", club.members),
        ("recipes", "Recipes, also those in the bin", club.recipes),
        ("batches", "Batches", club.batches),
    ] {
        registry.register(name, help, ConstGauge::new(value));
    }
    if let Some(backup) = club.backup {
        let age = (app.clock.now() - backup.made_at).num_seconds();
        registry.register_with_unit(
            "backup_age",
            "How old the last backup is",
            Unit::Seconds,
            ConstGauge::new(age),
        );
    }
}

/// The usual figures of a process, under their usual names, as far as the system tells them.
fn tell_process(app: &App, registry: &mut Registry) {
    registry.register_with_unit(
        "start_time",
        "When the server began, since 1970",
        Unit::Seconds,
        ConstGauge::new(app.started_at.timestamp()),
    );
    if let Some(bytes) = resident_memory() {
        registry.register_with_unit(
            "resident_memory",
            "Memory in use",
            Unit::Bytes,
            gauge(bytes),
        );
    }
    if let Ok(open) = fs::read_dir("/proc/self/fd") {
        // One of them is the folder itself.
        let open = open.count().saturating_sub(1) as u64;
        registry.register(
            "open_fds",
            "Files and connections that are open",
            gauge(open),
        );
    }
}

fn gauge(value: u64) -> ConstGauge {
    ConstGauge::new(i64::try_from(value).unwrap_or(i64::MAX))
}

/// What `/proc` tells in kB.
fn resident_memory() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmRSS:"))?;
    let kilobytes: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kilobytes * 1024)
}
