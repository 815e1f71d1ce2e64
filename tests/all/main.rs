//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod look;
mod units;
mod migrations;
mod recipe_database;
mod recipe_drafts;
mod recipe_search;
mod recipe_store;
mod cluster;
