//! Migrations: on an empty database, again, and with one role that migrates and another that serves.

use mustwright::database::MIGRATIONS;
use mustwright::recipes::browse::View;
use mustwright::recipes::drafts::store as drafts;
use mustwright::recipes::drafts::{Kept, PutDraft};
use mustwright::recipes::model::{Shelf, Visibility};
use mustwright::recipes::public_id::PublicId;
use mustwright::recipes::{browse, renewal, store};
use sqlx::migrate::Migrator;
use sqlx::postgres::PgPoolOptions;
use sqlx::{ConnectOptions, Connection};

use crate::recipe_database::{
    a_member, a_recipe, administer, at, code_of, edit, fresh_name, restore_whole, server,
    with_database,
};

#[tokio::test]
async fn a_second_run_changes_nothing() {
    with_database(async |pool| {
        let applied = "select count(*), max(installed_on) from _sqlx_migrations";
        let before: (i64, chrono::DateTime<chrono::Utc>) =
            sqlx::query_as(applied).fetch_one(&pool).await.unwrap();
        let migrator = sqlx::migrate!("./migrations");
        assert_eq!(
            before.0,
            migrator.iter().count() as i64,
            "every file was applied to the empty database"
        );
        migrator.run(&pool).await.unwrap();
        let after: (i64, chrono::DateTime<chrono::Utc>) =
            sqlx::query_as(applied).fetch_one(&pool).await.unwrap();
        assert_eq!(before, after);
    })
    .await;
}

/// Every migration, and one to come of this text.
async fn with_one_more(text: &str) -> Migrator {
    let folder = tempfile::tempdir().unwrap();
    for entry in std::fs::read_dir("migrations").unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, folder.path().join(path.file_name().unwrap())).unwrap();
    }
    std::fs::write(folder.path().join("99990101000000_later.sql"), text).unwrap();
    Migrator::new(folder.path()).await.unwrap()
}

#[tokio::test]
async fn a_migration_that_fails_leaves_nothing_and_goes_on_once_it_is_mended() {
    with_database(async |pool| {
        let there = "select to_regclass('half_done') is not null";
        let falls = with_one_more("create table half_done (id bigint); select 1 / 0;").await;
        for _ in 0..2 {
            // A connection of its own, as at a start: the lock that keeps others waiting ends with it.
            let options = pool.connect_options().as_ref().clone();
            let alone = PgPoolOptions::new().max_connections(1);
            let alone = alone.connect_with(options).await.unwrap();
            assert!(falls.run(&alone).await.is_err());
            alone.close().await;
            let left: bool = sqlx::query_scalar(there).fetch_one(&pool).await.unwrap();
            assert!(!left, "all of it or nothing");
            // The version that ran before starts as before.
            MIGRATIONS.run(&pool).await.unwrap();
        }
        let mended = with_one_more("create table half_done (id bigint);").await;
        mended.run(&pool).await.unwrap();
        let made: bool = sqlx::query_scalar(there).fetch_one(&pool).await.unwrap();
        assert!(made);
    })
    .await;
}

#[test]
fn every_migration_runs_in_a_transaction() {
    for migration in MIGRATIONS.iter() {
        assert!(!migration.no_tx, "{}", migration.description);
    }
}

#[tokio::test]
async fn every_constraint_has_a_name_of_ours() {
    with_database(async |pool| {
        let nameless: Vec<String> = sqlx::query_scalar(
            "select conrelid::regclass || ': ' || conname from pg_constraint
             where conrelid in (select oid from pg_class where relname in
                 ('recipes', 'revisions', 'revision_numbers', 'recipe_search', 'recipe_drafts',
                     'catalogue_entries', 'catalogue_entry_revisions'))
               and contype in ('c', 'f', 'u') and conname ~ '_(check[0-9]*|id_fkey)$'",
        )
        .fetch_all(&pool)
        .await
        .unwrap();
        assert_eq!(nameless, [""; 0]);
    })
    .await;
}

#[tokio::test]
async fn the_serving_role_works_with_recipes_and_cannot_rewrite_their_past() {
    let (database, owner, app) = (fresh_name(), fresh_name() + "_owner", fresh_name() + "_app");
    administer(
        &server(),
        &[
            format!("create role {owner} login"),
            format!("create role {app} login"),
            format!("create database {database} owner {owner}"),
        ],
    )
    .await;
    // PostgreSQL 14 lets everybody make tables in the schema public; later versions do not.
    administer(
        &server().database(&database),
        &[
            "revoke create on schema public from public".to_owned(),
            format!("grant create, usage on schema public to {owner}"),
            format!("grant usage on schema public to {app}"),
        ],
    )
    .await;
    let outcome = tokio::spawn({
        let (database, owner, app) = (database.clone(), owner.clone(), app.clone());
        async move { serve_as(&database, &owner, &app).await }
    })
    .await;
    administer(
        &server(),
        &[format!("drop database {database} with (force)")],
    )
    .await;
    administer(
        &server(),
        &[format!("drop role {app}"), format!("drop role {owner}")],
    )
    .await;
    if let Err(failure) = outcome {
        std::panic::resume_unwind(failure.into_panic());
    }
}

async fn serve_as(database: &str, owner: &str, app: &str) {
    let migrating = server()
        .database(database)
        .username(owner)
        .options([("mustwright.app_role", app)]);
    let pool = PgPoolOptions::new()
        .max_connections(1)
        .connect_with(migrating)
        .await
        .unwrap();
    sqlx::migrate!("./migrations").run(&pool).await.unwrap();
    pool.close().await;

    let mut conn = server()
        .database(database)
        .username(app)
        .connect()
        .await
        .unwrap();
    let anna = a_member(&mut conn, "Anna", "member").await;
    let recipe = a_recipe("Plain")
        .shown_to(Visibility::Club)
        .by(&mut conn, anna)
        .await
        .unwrap()
        .recipe;
    edit(&mut conn, anna, &recipe, 1, "Plainer").await.unwrap();
    restore_whole(&mut conn, anna, &recipe, 1, 2).await.unwrap();
    store::share(&mut conn, anna, &recipe, Visibility::Private)
        .await
        .unwrap();
    assert!(store::bin(&mut conn, anna, &recipe, at(99)).await.unwrap());
    assert!(store::unbin(&mut conn, anna, &recipe).await.unwrap());
    let view = View {
        words: "heather".to_owned(),
        ..View::of(Shelf::Mine)
    };
    let found = browse::find(&mut conn, Some(anna), &view, None, 5)
        .await
        .unwrap();
    assert_eq!(found.page.lines.len(), 1);
    let serving = PgPoolOptions::new()
        .max_connections(1)
        .connect_with(server().database(database).username(app))
        .await
        .unwrap();
    assert_eq!(renewal::renew(&serving).await.unwrap(), 3);
    serving.close().await;
    browse::store::forget_words(&mut conn).await.unwrap();
    let draft = PublicId::random().unwrap();
    for sequence in [1, 2] {
        let typed = PutDraft {
            member: anna,
            draft: &draft,
            editing: Some((&recipe, 3)),
            started_from: None,
            title: "",
            fields: &[],
            sequence: Some(sequence),
            at_once: true,
        };
        assert_eq!(
            drafts::put(&mut conn, &typed, at(0)).await.unwrap(),
            Kept::Written { sequence }
        );
    }
    drafts::close(&mut conn, anna, &draft, None, at(1))
        .await
        .unwrap();
    assert_eq!(drafts::prune(&mut conn, at(10_000_000)).await.unwrap(), 1);

    for statement in [
        "update revisions set note = 'other'",
        "delete from revisions",
        "truncate revisions cascade",
        "alter table revisions disable trigger all",
        "drop trigger revisions_are_final on revisions",
        "delete from recipes",
        "create table mine (id bigint)",
        "create index on recipes (title)",
        "drop table recipe_facets",
    ] {
        let error = sqlx::query(statement)
            .execute(&mut conn)
            .await
            .expect_err(statement);
        assert_eq!(code_of(&error), "42501", "{statement}: {error}");
    }
    conn.close().await.unwrap();
}
