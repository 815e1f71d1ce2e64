//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod api;
mod backup;
mod browser;
mod calculations;
mod catalogue;
mod cluster;
mod commands;
mod demo;
mod feeds;
mod home;
mod hostile;
mod keeper;
mod look;
mod migrations;
mod portability;
mod recipe_browse;
mod recipe_database;
mod recipe_drafts;
mod recipe_search;
mod recipe_store;
mod recipes;
#[path = "../support/mod.rs"]
mod support;
mod units;
mod words;

mod architecture;
mod faults;
mod members;
mod once;
mod passwords;
mod readme;
mod routes;
mod safety;
mod sessions;
mod starting;
mod tokens;
