//! A backup made while the server runs, refused where it would harm, and brought back.

use std::process::Command as System;

use mustwright::cluster::APP_ROLE;
use sqlx::{AssertSqlSafe, PgConnection, Row};

use crate::support::{Club, Command, TestDatabase, a_keeper, a_member};

/// Every table's rows in one text each.
async fn fingerprint(conn: &mut PgConnection) -> Vec<String> {
    let tables: Vec<String> = sqlx::query_scalar(
        "select tablename::text from pg_tables where schemaname = 'public' and tablename <> 'backups' order by 1",
    )
    .fetch_all(&mut *conn)
    .await
    .unwrap();
    let mut prints = Vec::new();
    for table in tables {
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

fn sha256_of(file: &std::path::Path) -> String {
    let said = System::new("sha256sum").arg(file).output().unwrap();
    let text = String::from_utf8(said.stdout).unwrap();
    text.split(' ').next().unwrap().to_owned()
}

#[tokio::test]
async fn a_backup_is_made_beside_the_running_server_and_comes_back_whole() {
    let club = Club::open().await;
    let keeper = club.browser_of(&a_keeper().of(&club).await).await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let form = ada.get("/recipes/new").await;
    let saved = ada
        .submit(&form, "Save as revision 1", &[("Name", "Heather")])
        .await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("club.dump");
    let (owner, app) = club.database.urls();
    let settings = [
        ("MIGRATE_DATABASE_URL", owner.as_str()),
        ("DATABASE_URL", app.as_str()),
    ];
    let named = file.to_str().unwrap();
    let made = Command::start(&["backup", named], &settings).ends().await;
    assert_eq!(made.code, Some(0), "{}", made.complained);
    assert!(made.said.contains(&sha256_of(&file)), "{}", made.said);
    assert!(
        keeper
            .get("/keeper/health")
            .await
            .text
            .contains("less than a day old")
    );

    let before = std::fs::read(&file).unwrap();
    let again = Command::start(&["backup", named], &settings).ends().await;
    assert_eq!(again.code, Some(1));
    assert!(
        again.complained.contains("is there already"),
        "{}",
        again.complained
    );
    assert_eq!(std::fs::read(&file).unwrap(), before);
    let left = std::fs::read_dir(dir.path()).unwrap().count();
    assert_eq!(left, 1, "nothing unfinished is left");

    // Into a database that this version has just made, as the README says.
    let other = TestDatabase::make().await;
    let url = other.urls().0;
    // Without what only our own connections understand.
    let (place, rest) = url.split_once('?').unwrap_or((url.as_str(), ""));
    let rest: Vec<&str> = rest
        .split('&')
        .filter(|pair| !pair.starts_with("statement-cache-capacity"))
        .collect();
    let url = format!("{place}?{}", rest.join("&"));
    let restored = System::new(pg_restore())
        .args(["--clean", "--if-exists", "--single-transaction", "--dbname"])
        .args([url.as_str(), named])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&restored.stderr);
    assert!(restored.status.success(), "{said}");
    let mut there = club.database.owner().await;
    let mut here = other.owner().await;
    assert_eq!(fingerprint(&mut there).await, fingerprint(&mut here).await);
    // The serving role may do there what it may here.
    let opened = Club::opened(&[], Default::default(), other).await;
    let ada = opened.browser();
    assert_eq!(
        ada.sign_in("Ada", crate::support::PASSWORD).await.status,
        303
    );
    assert_eq!(ada.get("/recipes").await.status, 200);
    let form = ada.get("/recipes/new").await;
    let saved = ada
        .submit(&form, "Save as revision 1", &[("Name", "Heather")])
        .await;
    assert_eq!(saved.status, 303, "{}", saved.text);
}

fn pg_restore() -> std::path::PathBuf {
    let settings = mustwright::cluster::Settings {
        data_dir: "/nowhere".into(),
        bin_dir: None,
    };
    mustwright::cluster::program(&settings, "pg_restore")
}

#[tokio::test]
async fn a_backup_that_fails_leaves_nothing_and_tells_no_password() {
    let database = TestDatabase::make().await;
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("club.dump");
    // A role that is not there, with a password.
    let url = database.urls().1.replace(APP_ROLE, "nobody:hush-hush");
    let made = Command::start(
        &["backup", file.to_str().unwrap()],
        &[("DATABASE_URL", url.as_str())],
    )
    .ends()
    .await;
    assert_eq!(made.code, Some(1));
    assert!(
        made.complained.contains("pg_dump did not make a backup"),
        "{}",
        made.complained
    );
    assert!(
        !made.complained.contains("hush-hush"),
        "{}",
        made.complained
    );
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0);
}
