//! Upgrades: migrations meet rows in every table, and every released schema becomes the newest with nothing lost.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use mustwright::database::{MIGRATIONS, REWORDED};
use sha2::{Digest, Sha256};
use sqlx::migrate::{MigrateError, Migrator};
use sqlx::{AssertSqlSafe, Connection, Executor, PgConnection, Row};

use crate::support::{Club, Command, TestDatabase};

fn place(name: &str) -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("tests/reference/upgrades").join(name)
}

/// The newest migration of each release.
fn releases() -> Vec<i64> {
    let text = fs::read_to_string(place("releases.txt")).expect("the list of releases");
    let numbers: Vec<i64> = text
        .lines()
        .map(|line| line.parse().expect("a number"))
        .collect();
    assert!(numbers.len() >= 11 && numbers.is_sorted(), "{numbers:?}");
    numbers
}

/// Applies all migrations up to this one, each followed by rows of what it made, as they were then.
pub async fn fill_up_to(database: &TestDatabase, newest: i64) {
    let mut owner = database.migrating().await;
    let mut superuser = database.superuser().await;
    // As a backup brings rows in: what was reckoned from others then is among them.
    superuser
        .execute("set session_replication_role = replica")
        .await
        .unwrap();
    let versions = MIGRATIONS.iter().map(|migration| migration.version);
    for version in versions.take_while(|version| *version <= newest) {
        let rows = place(&format!("{version}.sql"));
        if rows.exists() {
            MIGRATIONS.run_to(version, &mut owner).await.unwrap();
            let rows = fs::read_to_string(rows).unwrap();
            let written = sqlx::raw_sql(AssertSqlSafe(rows))
                .execute(&mut superuser)
                .await;
            written.unwrap_or_else(|fault| panic!("rows of {version}: {fault}"));
            assert_eq!(bare_tables(&mut superuser).await, [""; 0], "at {version}");
        }
    }
    MIGRATIONS.run_to(newest, &mut owner).await.unwrap();
    superuser.close().await.unwrap();
    owner.close().await.unwrap();
}

async fn tables(conn: &mut PgConnection) -> Vec<String> {
    let named = "select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r'
         and relname <> '_sqlx_migrations' order by relname";
    sqlx::query_scalar(named).fetch_all(conn).await.unwrap()
}

/// Tables without a row: a migration that fails on rows would not be noticed there.
async fn bare_tables(conn: &mut PgConnection) -> Vec<String> {
    let asked: Vec<String> = tables(conn)
        .await
        .iter()
        .map(|table| format!("select '{table}' where not exists (select from public.{table})"))
        .collect();
    let asked = AssertSqlSafe(asked.join(" union all "));
    sqlx::query_scalar(asked)
        .persistent(false)
        .fetch_all(conn)
        .await
        .unwrap()
}

/// Every row of every table as an object, without what a later version added, which older rows do not have.
async fn rows(conn: &mut PgConnection) -> BTreeMap<String, Vec<BTreeMap<String, String>>> {
    let mut all = BTreeMap::new();
    for table in tables(conn).await {
        let asked =
            format!("select row_to_json(t)::jsonb as it from public.{table} t order by t::text");
        let found = sqlx::query(AssertSqlSafe(asked))
            .persistent(false)
            .fetch_all(&mut *conn)
            .await
            .unwrap();
        let found = found.iter().map(|row| {
            let object: serde_json::Value = row.get(0);
            let object = object.as_object().expect("an object").iter();
            object
                .map(|(key, value)| (key.clone(), value.to_string()))
                .collect()
        });
        all.insert(table, found.collect());
    }
    all
}

/// What triggers and migrations make of other rows, and later versions make anew.
const RECKONED: &[&str] = &[
    "recipe_search",
    "recipe_facets",
    "recipe_words",
    "recipe_comment_words",
    "batch_sensor_hours",
];

/// Everything about a schema that a program can notice, one line each.
async fn schema(conn: &mut PgConnection) -> Vec<String> {
    sqlx::query_scalar(
        "select 'column ' || c.relname || '.' || a.attname || ' ' || format_type(a.atttypid, a.atttypmod) || ' '
             || a.attnotnull || ' ' || a.attidentity::text || a.attgenerated::text || ' '
             || coalesce(pg_get_expr(d.adbin, d.adrelid), '') || ' ' || a.attcollation::regcollation || ' '
             || coalesce(array_to_string(array(select x::text from unnest(a.attacl) x order by 1), ','), '')
         from pg_class c join pg_attribute a on a.attrelid = c.oid left join pg_attrdef d on d.adrelid = c.oid and d.adnum = a.attnum
         where c.relnamespace = 'public'::regnamespace and c.relkind in ('r', 'v') and a.attnum > 0 and not a.attisdropped
         union all
         select 'order ' || c.relname || ' ' || string_agg(a.attname, ',' order by a.attnum)
         from pg_class c join pg_attribute a on a.attrelid = c.oid
         where c.relnamespace = 'public'::regnamespace and c.relkind in ('r', 'v') and a.attnum > 0 and not a.attisdropped
         group by c.relname
         union all
         select 'relation ' || relname || ' ' || relkind::text || ' ' || relowner::regrole || ' ' || coalesce(reloptions::text, '')
             || ' ' || array_to_string(array(select x::text from unnest(relacl) x order by 1), ',')
         from pg_class where relnamespace = 'public'::regnamespace and relkind in ('r', 'v', 'S', 'i')
         union all
         select 'constraint ' || conrelid::regclass || ' ' || conname || ' ' || pg_get_constraintdef(oid) || ' ' || convalidated
         from pg_constraint where connamespace = 'public'::regnamespace
         union all
         select 'index ' || pg_get_indexdef(indexrelid) || ' ' || indisvalid from pg_index
         where indrelid in (select oid from pg_class where relnamespace = 'public'::regnamespace)
         union all
         select 'trigger ' || pg_get_triggerdef(oid) || ' ' || tgenabled::text from pg_trigger
         where not tgisinternal
         union all
         select 'function ' || pg_get_functiondef(oid) || ' ' || proowner::regrole || ' '
             || array_to_string(array(select x::text from unnest(proacl) x order by 1), ',')
         from pg_proc where pronamespace = 'public'::regnamespace and prokind in ('f', 'p')
         union all
         select 'view ' || viewname || ' ' || definition from pg_views where schemaname = 'public'
         union all
         select 'migration ' || version || ' ' || encode(checksum, 'hex') from _sqlx_migrations where success
         order by 1",
    )
    .fetch_all(conn)
    .await
    .unwrap()
}

/// A schema as a fresh database has it.
async fn fresh() -> Vec<String> {
    let database = TestDatabase::make().await;
    schema(&mut database.superuser().await).await
}

async fn upgraded_is_fresh(release: i64, fresh: &[String]) {
    let database = TestDatabase::empty().await;
    fill_up_to(&database, release).await;
    let mut conn = database.superuser().await;
    let before = rows(&mut conn).await;
    conn.close().await.unwrap();
    let (owner, app) = database.urls();
    let settings = [
        ("MIGRATE_DATABASE_URL", owner.as_str()),
        ("DATABASE_URL", app.as_str()),
    ];
    let migrated = Command::start(&["migrate"], &settings).ends().await;
    assert_eq!(migrated.code, Some(0), "{release}: {}", migrated.complained);
    let mut conn = database.superuser().await;
    let now = schema(&mut conn).await;
    let odd: Vec<&String> = now.iter().filter(|line| !fresh.contains(line)).collect();
    let missing: Vec<&String> = fresh.iter().filter(|line| !now.contains(line)).collect();
    assert!(
        odd.is_empty() && missing.is_empty(),
        "from {release}: {odd:#?} in place of {missing:#?}"
    );
    let after = rows(&mut conn).await;
    for (table, earlier) in before {
        if RECKONED.contains(&table.as_str()) {
            continue;
        }
        let there = &after[&table];
        for row in earlier {
            let lives = there.iter().any(|other| {
                row.iter()
                    .all(|(key, value)| other.get(key).is_none_or(|now| now == value))
            });
            assert!(lives, "{release}: {table} lost {row:?}");
        }
    }
}

#[tokio::test]
async fn every_released_schema_becomes_the_newest_with_all_its_rows() {
    let releases = releases();
    let fresh = fresh().await;
    // All of them take a while: the first and the last show most, and each migration by itself is shown below.
    let chosen: Vec<i64> = match std::env::var("MUSTWRIGHT_UPGRADES").as_deref() {
        Ok("all") => releases,
        _ => vec![releases[0], releases[releases.len() - 1]],
    };
    for release in chosen {
        upgraded_is_fresh(release, &fresh).await;
    }
}

#[tokio::test]
async fn each_migration_meets_rows_in_every_table_that_is_there() {
    let newest = MIGRATIONS.iter().map(|migration| migration.version).max();
    let database = TestDatabase::empty().await;
    fill_up_to(&database, newest.expect("migrations")).await;
    let mut conn = database.superuser().await;
    assert_eq!(
        bare_tables(&mut conn).await,
        [""; 0],
        "a new table wants rows: DEVELOPERS.md, A release"
    );
    assert_eq!(schema(&mut conn).await, fresh().await);
    conn.close().await.unwrap();
    // The program serves what came of all that.
    let club = Club::opened(&[], Default::default(), database).await;
    assert_eq!(club.browser().get("/").await.status, 200);
    assert_eq!(club.browser().get("/starters").await.status, 200);
}

#[test]
fn what_was_released_is_never_edited_and_everything_is_on_the_list() {
    let list = fs::read_to_string(place("released.txt")).expect("the list of hashes");
    let listed: BTreeMap<&str, &str> = list
        .lines()
        .map(|line| {
            line.split_once("  ")
                .map(|(hash, name)| (name, hash))
                .expect("a hash and a name")
        })
        .collect();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations");
    let mut there: Vec<String> = Vec::new();
    for entry in fs::read_dir(&folder).unwrap() {
        there.push(entry.unwrap().file_name().into_string().unwrap());
    }
    there.sort();
    for (name, hash) in &listed {
        let text = fs::read(folder.join(name)).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        let found: String = Sha256::digest(text)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(
            &found, hash,
            "{name} was released: write another migration instead"
        );
    }
    let missing: Vec<&String> = there
        .iter()
        .filter(|name| !listed.contains_key(name.as_str()))
        .collect();
    assert!(
        missing.is_empty(),
        "not on the list of hashes yet (DEVELOPERS.md, A release): {missing:?}"
    );
}

#[test]
fn no_migration_leaves_its_transaction() {
    // One that did would leave half of itself behind when it fails, and would not run again.
    for migration in MIGRATIONS.iter() {
        assert!(!migration.no_tx, "{}", migration.version);
        let sql = migration.sql.as_str().to_lowercase();
        assert!(!sql.contains("concurrently"), "{}", migration.version);
    }
}

/// The migrations of the program and one more.
async fn with_one_more(dir: &Path, sql: &str) -> Migrator {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations");
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), dir.join(entry.file_name())).unwrap();
    }
    fs::write(dir.join("99990101000000_later.sql"), sql).unwrap();
    Migrator::new(dir).await.unwrap()
}

#[tokio::test]
async fn a_migration_that_fails_half_way_leaves_nothing_and_the_old_version_serves_on() {
    let club = Club::open().await;
    let dir = tempfile::tempdir().unwrap();
    let mut owner = club.database.migrating().await;
    let before = schema(&mut club.database.superuser().await).await;
    let half =
        "create table mugs (id bigint); alter table recipes add column mug bigint; select 1 / 0;";
    let failing = with_one_more(dir.path(), half).await;
    let fault = failing.run(&mut owner).await.expect_err("it fails");
    assert!(fault.to_string().contains("division by zero"), "{fault}");
    owner.close().await.unwrap();
    assert_eq!(schema(&mut club.database.superuser().await).await, before);
    assert_eq!(club.browser().get("/starters").await.status, 200);
    // Mended, it goes through; the version before it serves on and does not start again.
    let whole = with_one_more(dir.path(), "create table mugs (id bigint)").await;
    let mut owner = club.database.migrating().await;
    whole.run(&mut owner).await.unwrap();
    assert_eq!(club.browser().get("/starters").await.status, 200);
    let older = MIGRATIONS.run(&mut owner).await.expect_err("it is newer");
    assert!(
        matches!(older, MigrateError::VersionMissing(99_990_101_000_000)),
        "{older}"
    );
}

#[tokio::test]
async fn a_database_that_an_earlier_wording_made_is_brought_up_to_date() {
    let database = TestDatabase::make().await;
    let mut owner = database.migrating().await;
    let newest = MIGRATIONS.iter().map(|migration| migration.version).max();
    for (version, earlier) in REWORDED {
        sqlx::query("update _sqlx_migrations set checksum = $2 where version = $1")
            .bind(version)
            .bind(&earlier[..])
            .execute(&mut owner)
            .await
            .unwrap();
    }
    // It was made before what makes the difference good.
    sqlx::query("delete from _sqlx_migrations where version = 20261201095001")
        .execute(&mut owner)
        .await
        .unwrap();
    let (url, app) = database.urls();
    let settings = [
        ("MIGRATE_DATABASE_URL", url.as_str()),
        ("DATABASE_URL", app.as_str()),
    ];
    let migrated = Command::start(&["migrate"], &settings).ends().await;
    assert_eq!(migrated.code, Some(0), "{}", migrated.complained);
    let there: Option<i64> = sqlx::query_scalar("select max(version) from _sqlx_migrations")
        .fetch_one(&mut owner)
        .await
        .unwrap();
    assert_eq!(there, newest);
    assert_eq!(schema(&mut database.superuser().await).await, fresh().await);
}
