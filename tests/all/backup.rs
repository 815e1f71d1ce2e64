//! Backups: taken under load, brought back whole or not at all, made and tried by themselves.

use std::collections::BTreeMap;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use mustwright::backup::{Header, Source, check};
use mustwright::cluster::APP_ROLE;
use mustwright::config::Config;
use sqlx::{AssertSqlSafe, PgConnection, Row};
use tempfile::TempDir;

use crate::support::{Command, TestDatabase};

mod comes_back;
mod nightly;
mod refused;

/// A folder that every account may enter, for backups.
fn a_folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o755)).unwrap();
    folder
}

/// The program with a command, on this database with its two roles.
async fn run(database: &TestDatabase, arguments: &[&str]) -> Result<String, String> {
    let (owner, app) = database.urls();
    let settings = [
        ("MIGRATE_DATABASE_URL", owner.as_str()),
        ("DATABASE_URL", app.as_str()),
    ];
    with(&settings, arguments).await
}

/// The program with a command and settings: what it said, or what it complained of.
async fn with(settings: &[(&str, &str)], arguments: &[&str]) -> Result<String, String> {
    let ended = Command::start(arguments, settings).ends().await;
    match ended.code {
        Some(0) => Ok(ended.said),
        Some(1) => Err(ended.complained),
        other => panic!("{other:?}: {}", ended.complained),
    }
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a text")
}

/// A backup of a database.
async fn backup_of(database: &TestDatabase, folder: &TempDir) -> PathBuf {
    let file = folder.path().join("club.backup");
    run(database, &["backup", text(&file)]).await.unwrap();
    file
}

/// What a backup says of itself.
async fn header_of(file: &Path) -> Header {
    check(file).await.unwrap().header
}

/// This database as its owner, for what is called without the program.
fn source(database: &TestDatabase) -> Source {
    let (owner, app) = database.urls();
    let values = [("MIGRATE_DATABASE_URL", &owner), ("DATABASE_URL", &app)];
    let values = values.map(|(name, value)| (name.to_owned(), value.clone()));
    Source {
        config: Config::from_values(BTreeMap::from(values)).unwrap(),
        owner: owner.parse().unwrap(),
        app_role: Some(APP_ROLE.to_owned()),
    }
}

/// What is over with a restore, and what is written while it is made.
const NOT_COMPARED: &[&str] = &[
    "backups",
    "backup_trials",
    "sessions",
    "half_sign_ins",
    "passkey_ceremonies",
    "code_apps_begun",
    "one_time_links",
    "sign_in_tries",
];

/// Every table with the number of its rows and one hash over all of them, reckoned by the database in a way of its own.
async fn fingerprint(conn: &mut PgConnection) -> Vec<String> {
    let tables: Vec<String> = sqlx::query_scalar(
        "select tablename::text from pg_tables where schemaname = 'public' order by 1",
    )
    .fetch_all(&mut *conn)
    .await
    .unwrap();
    let mut prints = Vec::new();
    for table in tables {
        if NOT_COMPARED.contains(&table.as_str()) {
            continue;
        }
        let sql = format!(
            "select count(*) || ' ' || coalesce(md5(string_agg(t::text, '|' order by t::text)), '') from {table} t"
        );
        let row = sqlx::query(AssertSqlSafe(sql))
            .fetch_one(&mut *conn)
            .await
            .unwrap();
        prints.push(format!("{table} {}", row.get::<String, _>(0)));
    }
    prints
}

/// Where every sequence stands.
async fn counters(conn: &mut PgConnection) -> Vec<String> {
    sqlx::query_scalar(
        "select sequencename || ' ' || coalesce(last_value, 0) from pg_sequences
         where schemaname = 'public' and sequencename not like 'backup%' order by 1",
    )
    .fetch_all(conn)
    .await
    .unwrap()
}

/// What the serving role may do with what.
async fn rights(conn: &mut PgConnection) -> Vec<String> {
    sqlx::query_scalar(
        "select relname || ' ' || p || ' ' || has_table_privilege($1, c.oid, p) from pg_class c,
             unnest(array['select', 'insert', 'update', 'delete', 'truncate']) p
         where relnamespace = 'public'::regnamespace and relkind in ('r', 'v')
         union all
         select proname || ' ' || has_function_privilege($1, oid, 'execute') || ' ' || coalesce(proacl::text, '')
         from pg_proc where pronamespace = 'public'::regnamespace
         order by 1",
    )
    .bind(APP_ROLE)
    .fetch_all(conn)
    .await
    .unwrap()
}

/// The tables that are there.
async fn tables(database: &TestDatabase) -> i64 {
    sqlx::query_scalar("select count(*) from pg_tables where schemaname = 'public'")
        .fetch_one(&mut database.owner().await)
        .await
        .unwrap()
}
