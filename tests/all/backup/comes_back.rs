//! What a backup holds comes back: from a club in full use, from an older schema, to one role or two.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use mustwright::cluster::{self, Settings};
use mustwright::database::MIGRATIONS;
use sqlx::PgConnection;

use super::{a_folder, backup_of, counters, fingerprint, header_of, rights, run, text, with};
use crate::support::{Browser, Club, PASSWORD, TestDatabase, a_keeper, a_member};
use crate::upgrades::fill_up_to;

async fn save_a_recipe(browser: &Browser, name: &str) {
    let form = browser.get("/recipes/new").await;
    let saved = browser
        .submit(&form, "Save as revision 1", &[("Name", name)])
        .await;
    assert_eq!(saved.status, 303, "{}", saved.text);
}

#[tokio::test]
async fn taken_while_members_write_it_is_one_moment_and_comes_back_as_a_club() {
    let club = Club::open().await;
    let keeper = club.browser_of(&a_keeper().of(&club).await).await;
    let ada = a_member().of(&club).await;
    let done = Arc::new(AtomicBool::new(false));
    let mut writers = tokio::task::JoinSet::new();
    for _ in 0..3 {
        let browser = club.browser_of(&ada).await;
        save_a_recipe(&browser, "Heather").await;
        let done = done.clone();
        writers.spawn(async move {
            let mut saved = 1;
            while !done.load(Ordering::Relaxed) {
                save_a_recipe(&browser, "Heather").await;
                saved += 1;
            }
            saved
        });
    }
    sqlx::query("insert into jobs (kind, key, due_at) values ('writing', 'to Ada', now() + interval '1 hour')")
        .execute(club.pool())
        .await
        .unwrap();
    let folder = a_folder();
    let file = folder.path().join("club.backup");
    let said = run(&club.database, &["backup", text(&file)]).await.unwrap();
    done.store(true, Ordering::Relaxed);
    let saved: i64 = writers.join_all().await.into_iter().sum();
    let sum = std::process::Command::new("sha256sum").arg(&file).output();
    let sum = String::from_utf8(sum.unwrap().stdout).unwrap();
    assert!(said.contains(sum.split(' ').next().unwrap()), "{said}");
    let health = keeper.get("/keeper/health").await;
    assert!(health.text.contains("less than a day old"));

    // One moment: of each recipe its revision, and none of what came later.
    let header = header_of(&file).await;
    let held = header.rows("recipes").unwrap();
    assert_eq!(header.rows("revisions"), Some(held));
    assert_eq!(header.rows("revision_numbers"), Some(held));
    assert!(
        (3..saved).contains(&held),
        "nobody wrote meanwhile: {held} of {saved}"
    );
    assert_eq!(header.club, "Mead club");

    // Again to the same file: refused, and nothing unfinished is left.
    let refused = run(&club.database, &["backup", text(&file)])
        .await
        .unwrap_err();
    assert!(refused.contains("is there already"), "{refused}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);

    let other = TestDatabase::empty().await;
    let said = run(&other, &["restore", text(&file)]).await.unwrap();
    assert!(
        said.contains(&format!("2 members, {held} recipes")),
        "{said}"
    );
    let mut conn = other.owner().await;
    let there: i64 = sqlx::query_scalar("select count(*) from recipes")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    assert_eq!(there, held);
    // Everybody signs in anew, and goes on as before.
    let sessions: i64 = sqlx::query_scalar("select count(*) from sessions")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    assert_eq!(sessions, 0);
    let waiting: i64 =
        sqlx::query_scalar("select count(*) from jobs where ended_at is null and key <> ''")
            .fetch_one(&mut conn)
            .await
            .unwrap();
    assert_eq!(waiting, 0, "a letter of yesterday is not written again");
    let fresh = TestDatabase::make().await;
    assert_eq!(
        rights(&mut conn).await,
        rights(&mut fresh.owner().await).await
    );
    let opened = Club::opened(&[], Default::default(), other).await;
    let ada = opened.browser();
    assert_eq!(ada.sign_in("Ada", PASSWORD).await.status, 303);
    save_a_recipe(&ada, "After the fire").await;
}

async fn state(conn: &mut PgConnection) -> (Vec<String>, Vec<String>) {
    (fingerprint(conn).await, counters(conn).await)
}

#[tokio::test]
async fn every_table_every_picture_and_every_sequence_is_what_it_was() {
    let newest = MIGRATIONS.iter().map(|migration| migration.version).max();
    let club = TestDatabase::empty().await;
    fill_up_to(&club, newest.unwrap()).await;
    let folder = a_folder();
    let file = backup_of(&club, &folder).await;
    let before = state(&mut club.owner().await).await;
    assert!(
        before
            .0
            .iter()
            .any(|line| line.starts_with("batch_pictures 1 "))
    );

    let two_roles = TestDatabase::empty().await;
    run(&two_roles, &["restore", text(&file)]).await.unwrap();
    assert_eq!(state(&mut two_roles.owner().await).await, before);

    // To a database with one role, and from there to one with two again.
    let one_role = TestDatabase::empty().await;
    let (owner, _) = one_role.urls();
    let one = [("DATABASE_URL", owner.as_str())];
    with(&one, &["restore", text(&file)]).await.unwrap();
    assert_eq!(state(&mut one_role.owner().await).await, before);
    let again = folder.path().join("again.backup");
    with(&one, &["backup", text(&again)]).await.unwrap();
    let last = TestDatabase::empty().await;
    run(&last, &["restore", text(&again)]).await.unwrap();
    assert_eq!(state(&mut last.owner().await).await, before);
    let rights_then = rights(&mut two_roles.owner().await).await;
    assert_eq!(rights(&mut last.owner().await).await, rights_then);
}

#[tokio::test]
async fn an_older_schema_is_brought_up_to_date_on_a_private_database_that_a_server_made() {
    // The schema before there were batches.
    let club = TestDatabase::empty().await;
    fill_up_to(&club, 20_261_128_190_000).await;
    let folder = a_folder();
    let file = backup_of(&club, &folder).await;
    let header = header_of(&file).await;
    assert_eq!(header.schema, 20_261_128_190_000);

    let home = folder.path().join("home");
    let settings = [("MUSTWRIGHT_DATA_DIR", text(&home))];
    with(&settings, &["migrate"]).await.unwrap();
    let said = with(&settings, &["restore", text(&file)]).await.unwrap();
    assert!(said.contains("It was brought up to date"), "{said}");
    let cluster = tokio::task::spawn_blocking(move || {
        cluster::start(Settings {
            data_dir: home,
            bin_dir: None,
        })
    });
    let cluster = cluster.await.unwrap().unwrap();
    let serving = mustwright::database::pool(&cluster.app_options(), 1);
    let members: i64 = sqlx::query_scalar("select count(*) from members")
        .fetch_one(&serving)
        .await
        .unwrap();
    assert_eq!(Some(members), header.rows("members"));
    let batches: i64 = sqlx::query_scalar("select count(*) from batches")
        .fetch_one(&serving)
        .await
        .unwrap();
    assert_eq!(batches, 0);
    serving.close().await;
    tokio::task::spawn_blocking(move || cluster.stop())
        .await
        .unwrap();
}
