//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

#[path = "../support/mod.rs"]
mod support;

mod architecture;
mod faults;
mod members;
mod once;
mod passwords;
mod routes;
mod sessions;
mod starting;
