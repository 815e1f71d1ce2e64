//! Pictures leave with the notes that they stand beside, as long as one file can hold them.

use serde_json::Value;
use sqlx::PgConnection;

use super::{Files, a_person, bytes_of, exported, json_of, taken_in};
use crate::batches::{a_maker, started};
use crate::support::Club;

/// So many of 400 kB are just less than one file holds.
const FIT: i32 = 26;

/// Pictures beside the first entry of every batch, numbered.
async fn pictures(owner: &mut PgConnection, numbers: std::ops::RangeInclusive<i32>) {
    sqlx::query(
        "insert into batch_pictures (public_id, batch_id, entry, by_id, image, width, height, says, at)
         select translate(lpad(n::text, 20, 'a'), '0189', 'bcde'), id, 1, owner_id, decode(repeat('ab', 400000), 'hex'), 1, 1,
             '', now()
         from batches, generate_series($1, $2) n",
    )
    .bind(numbers.start())
    .bind(numbers.end())
    .execute(owner)
    .await
    .expect("pictures");
}

fn readme(files: &Files) -> String {
    String::from_utf8(bytes_of(files, "readme.txt").to_vec()).expect("text")
}

#[tokio::test]
async fn of_too_many_none_leaves_and_the_file_says_so() {
    let here = Club::open().await;
    let (_, ada, recipe) = a_maker(&here, "Ada").await;
    started(&ada, &recipe, &[]).await;
    let mut owner = here.database.owner().await;
    pictures(&mut owner, 1..=FIT).await;
    let files = exported(&ada).await;
    let held = json_of(&files, "batches.json")[0]["pictures"]
        .as_array()
        .map(Vec::len);
    assert_eq!(held, usize::try_from(FIT).ok());
    assert!(!readme(&files).contains("pictures beside your notes"));
    pictures(&mut owner, FIT + 1..=FIT + 1).await;
    let files = exported(&ada).await;
    assert_eq!(json_of(&files, "batches.json")[0]["pictures"], Value::Null);
    assert!(readme(&files).contains("pictures beside your notes are not in it"));
    let there = Club::open().await;
    let (_, eve) = a_person(&there, "Eve").await;
    taken_in(&there, &eve, &files).await;
    let batches: i64 = sqlx::query_scalar("select count(*) from batches")
        .fetch_one(there.pool())
        .await
        .expect("a count");
    assert_eq!(batches, 1);
}
