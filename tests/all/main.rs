//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod api;
mod backup;
mod batches;
mod browser;
mod calculations;
mod catalogue;
mod club;
mod cluster;
mod commands;
mod cupboard;
mod demo;
mod feeds;
mod home;
mod hostile;
mod keeper;
mod look;
mod meetings;
mod migrations;
mod orders;
mod portability;
mod recipe_browse;
mod recipe_database;
mod recipe_drafts;
mod recipe_search;
mod recipe_store;
mod recipes;
mod shelf;
#[path = "../support/mod.rs"]
mod support;
mod trouble;
mod units;
mod vessels;
mod words;

mod architecture;
mod faults;
mod members;
mod once;
mod passwords;
mod readme;
mod routes;
mod safety;
mod second;
mod sessions;
mod starting;
mod tokens;
