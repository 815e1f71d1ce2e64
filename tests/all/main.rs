//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod cluster;
mod look;
mod catalogue;
mod units;
mod migrations;
mod recipe_database;
mod recipe_drafts;
mod recipe_search;
mod recipe_store;
mod cluster;
#[path = "../support/mod.rs"]
mod support;

mod architecture;
mod faults;
mod members;
mod once;
mod passwords;
mod routes;
mod sessions;
mod units;
