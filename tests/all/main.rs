//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod catalogue;
mod cluster;
mod look;
mod migrations;
mod recipe_database;
mod recipe_drafts;
mod recipe_search;
mod recipe_store;
mod recipes;
#[path = "../support/mod.rs"]
mod support;
mod units;

mod architecture;
mod demo;
mod faults;
mod members;
mod once;
mod passwords;
mod routes;
mod sessions;
mod starting;
