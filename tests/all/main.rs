//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod api;
mod cluster;
mod commands;
mod look;
mod migrations;
mod recipe_database;
mod recipe_drafts;
mod recipe_search;
mod recipe_store;
mod units;
