//! What cannot be brought back is refused before anything is touched, and what fails half-way leaves nothing.

use std::fs;
use std::path::{Path, PathBuf};

use mustwright::cluster::APP_ROLE;
use sha2::{Digest, Sha256};
use sqlx::Executor;
use tempfile::TempDir;

use super::{a_folder, backup_of, fingerprint, run, tables, text, with};
use crate::support::{Club, Command, TestDatabase, a_member};

/// The last line of a backup.
const END: usize = 1 + "sha256 ".len() + 64 + 1;

/// A backup as somebody would write it who knows how: with a right checksum.
fn forged(file: &Path, name: &str, change: impl Fn(&mut serde_json::Value)) -> PathBuf {
    let bytes = fs::read(file).unwrap();
    let mut lines = bytes[..bytes.len() - END].splitn(3, |byte| *byte == b'\n');
    let (sign, header, archive) = (lines.next(), lines.next(), lines.next());
    let mut header: serde_json::Value = serde_json::from_slice(header.unwrap()).unwrap();
    change(&mut header);
    let header = header.to_string();
    let inside = [sign.unwrap(), header.as_bytes(), archive.unwrap()].join(&b'\n');
    let sum: String = Sha256::digest(&inside)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let other = file.with_file_name(name);
    fs::write(
        &other,
        [&inside[..], format!("\nsha256 {sum}\n").as_bytes()].concat(),
    )
    .unwrap();
    other
}

fn written(folder: &TempDir, name: &str, bytes: &[u8]) -> PathBuf {
    let file = folder.path().join(name);
    fs::write(&file, bytes).unwrap();
    file
}

#[tokio::test]
async fn no_file_that_is_damaged_newer_or_none_touches_anything() {
    let club = Club::open().await;
    a_member().of(&club).await;
    let folder = a_folder();
    let file = backup_of(&club.database, &folder).await;
    let whole = fs::read(&file).unwrap();
    let mut flipped = whole.clone();
    let middle = flipped.len() / 2;
    flipped[middle] ^= 0x10;
    let later = |header: &mut serde_json::Value| header["schema"] = 99_990_101_000_000_i64.into();
    let fewer = |header: &mut serde_json::Value| {
        let members = header["tables"].as_array_mut().unwrap().iter_mut();
        let mut members = members.filter(|table| table["name"] == "members");
        members.next().unwrap()["rows"] = 2.into();
    };
    let other = |header: &mut serde_json::Value| {
        let members = header["tables"].as_array_mut().unwrap().iter_mut();
        let mut members = members.filter(|table| table["name"] == "members");
        members.next().unwrap()["fingerprint"] = "7".into();
    };
    let archive = |bytes: &[u8]| {
        let at = bytes.windows(5).position(|part| part == b"PGDMP").unwrap();
        bytes[at..].to_vec()
    };
    let newer_kind = [
        b"mustwright backup 2\n",
        &whole[b"mustwright backup 1\n".len()..],
    ]
    .concat();
    let newer_kind = written(&folder, "kind", &newer_kind);
    let empty = TestDatabase::empty().await;
    for (file, words) in [
        (
            written(&folder, "short", &whole[..whole.len() - 700]),
            "is damaged",
        ),
        (written(&folder, "flipped", &flipped), "is damaged"),
        (newer_kind, "is damaged"),
        (written(&folder, "nothing", b""), "is no backup"),
        (written(&folder, "notes", b"Buy honey.\n"), "is no backup"),
        (
            written(&folder, "bare", &archive(&whole)),
            "bare archive of pg_dump",
        ),
        (folder.path().join("missing"), "cannot read"),
        (folder.path().to_owned(), "is no backup"),
        (forged(&file, "later", later), "made by a newer Mustwright"),
        (
            forged(&file, "fewer", fewer),
            "table members has 1 rows of 2",
        ),
        (
            forged(&file, "other", other),
            "table members has other rows",
        ),
    ] {
        let refused = run(&empty, &["restore", text(&file)]).await.unwrap_err();
        assert!(refused.contains(words), "{words}: {refused}");
        assert_eq!(refused.trim().lines().count(), 1, "one line: {refused}");
        assert_eq!(tables(&empty).await, 0, "{words}: something was left");
    }
    // The first of these alone shows that a whole one is taken.
    let said = with(&[], &["restore", "--check", text(&file)])
        .await
        .unwrap();
    assert!(said.contains("The file is whole"), "{said}");
    let refused = with(
        &[],
        &["restore", "--check", text(&folder.path().join("flipped"))],
    )
    .await;
    assert!(refused.unwrap_err().contains("is damaged"));
    run(&empty, &["restore", text(&file)]).await.unwrap();
}

#[tokio::test]
async fn a_club_that_is_not_empty_or_in_use_stays_as_it_is() {
    let club = Club::open().await;
    a_member().of(&club).await;
    let folder = a_folder();
    let file = backup_of(&club.database, &folder).await;
    let before = fingerprint(&mut club.database.owner().await).await;
    let refused = run(&club.database, &["restore", text(&file)])
        .await
        .unwrap_err();
    assert!(refused.contains("it has 1 members"), "{refused}");
    assert_eq!(fingerprint(&mut club.database.owner().await).await, before);

    // A server that was started for it and still runs.
    let other = Club::open().await;
    other.browser().get("/").await;
    let refused = run(&other.database, &["restore", text(&file)])
        .await
        .unwrap_err();
    assert!(refused.contains("stop the server first"), "{refused}");

    // Somebody else's tables.
    let foreign = TestDatabase::empty().await;
    let mut conn = foreign.owner().await;
    conn.execute("create table cows (name text)").await.unwrap();
    drop(conn);
    let refused = run(&foreign, &["restore", text(&file)]).await.unwrap_err();
    assert!(refused.contains("it holds cows"), "{refused}");
    assert_eq!(tables(&foreign).await, 1);
}

#[tokio::test]
async fn an_archive_that_breaks_half_way_leaves_nothing_and_a_killed_restore_is_begun_again() {
    let club = Club::open().await;
    a_member().of(&club).await;
    let folder = a_folder();
    let file = backup_of(&club.database, &folder).await;
    // With a right checksum around an archive that ends in its data.
    let bytes = fs::read(&file).unwrap();
    let archive = bytes.windows(5).position(|part| part == b"PGDMP").unwrap();
    let half = archive + (bytes.len() - archive) * 2 / 3;
    let torn = written(
        &folder,
        "torn",
        &[&bytes[..half], &bytes[bytes.len() - END..]].concat(),
    );
    let torn = forged(&torn, "torn again", |_| {});
    let empty = TestDatabase::empty().await;
    let refused = run(&empty, &["restore", text(&torn)]).await.unwrap_err();
    assert!(
        refused.contains("pg_restore did not do its work"),
        "{refused}"
    );
    assert_eq!(tables(&empty).await, 0);

    // As a restore leaves it that is killed after the rows and before the rights.
    run(&empty, &["migrate"]).await.unwrap();
    let mut conn = empty.owner().await;
    conn.execute(
        "create table unfinished_restore (); insert into members (public_id, name, name_key) values
            ('aaaabbbbccccdddd2222', 'Half', 'half')",
    )
    .await
    .unwrap();
    drop(conn);
    let refused = run(&empty, &["migrate"]).await.unwrap_err();
    assert!(
        refused.contains("run mustwright restore again"),
        "{refused}"
    );
    run(&empty, &["restore", text(&file)]).await.unwrap();
    let names: Vec<String> = sqlx::query_scalar("select name from members")
        .fetch_all(&mut empty.owner().await)
        .await
        .unwrap();
    assert_eq!(names, ["Ada"]);
    run(&empty, &["migrate"]).await.unwrap();
}

#[tokio::test]
async fn a_backup_that_fails_leaves_nothing_and_tells_no_password() {
    let database = TestDatabase::make().await;
    let dir = a_folder();
    let file = dir.path().join("club.backup");
    // A role that is not there, with a password.
    let url = database.urls().1.replace(APP_ROLE, "nobody:hush-hush");
    // And one that may not read everything.
    for url in [url, database.urls().1] {
        let made = Command::start(&["backup", text(&file)], &[("DATABASE_URL", url.as_str())]);
        let made = made.ends().await;
        assert_eq!(made.code, Some(1), "{}", made.said);
        assert!(
            !made.complained.contains("hush-hush"),
            "{}",
            made.complained
        );
        assert_eq!(
            made.complained.trim().lines().count(),
            1,
            "{}",
            made.complained
        );
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
    }
}
