//! What sensors told minute by minute leaves in short and comes in as it was; of too much the last of each hour leaves, and the file
//! says so.

use serde_json::Value;
use sqlx::Executor;

use super::{a_person, bytes_of, exported, json_of, taken_in, with};
use crate::batches::{a_maker, started};
use crate::support::{Browser, Club};

/// 400 minutes of two sensors and of one without a name, one of them taken out, one corrected.
const TOLD: &[&str] = &[
    "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, came_from, source_key)
     select b.id, n, 1, 'reading', b.began_at + n * interval '1 minute' + interval '0.123456 seconds', b.began_at + n * interval '1 minute',
         b.owner_id, jsonb_strip_nulls(jsonb_build_object('sg', case when n % 5 <> 0 then (1.09 - n / 100000.0)::float8 end,
             'must_temperature_c', 20 + n % 7, 'instrument', (array['The float', 'The other', null])[1 + n % 3])), 'sensor', 'key' || n
     from batches b, generate_series(1, 400) n",
    "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, struck)
     select batch_id, entry, 2, kind, at, recorded_at, by_id, data, entry = 7 from batch_entries where entry in (7, 8)",
];

async fn filled(club: &Club) -> Browser {
    let (_, browser, recipe) = a_maker(club, "Ada").await;
    started(&browser, &recipe, &[("What it is called", "Heather one")]).await;
    let mut owner = club.database.owner().await;
    for statement in TOLD {
        owner.execute(*statement).await.unwrap();
    }
    browser
}

/// Rows of a club, each as one text.
async fn rows(club: &Club, of: &'static str) -> Vec<String> {
    let mut owner = club.database.owner().await;
    let rows = sqlx::query_scalar(of).fetch_all(&mut owner).await;
    rows.unwrap()
}

const LOG: &str =
    "select concat_ws('|', entry, version, kind, at, recorded_at, data, struck, came_from)
    from batch_entries order by entry, version";
const HOURS: &str = "select concat_ws('|', hour, instrument, entry, at, recorded_at, data, readings, sg_low, sg_high, must_low_c,
    must_high_c) from batch_sensor_hours order by hour, instrument";

#[tokio::test]
async fn every_minute_comes_in_again_as_it_was() {
    let here = Club::open().await;
    let ada = filled(&here).await;
    let files = exported(&ada).await;
    let batch = &json_of(&files, "batches.json")[0];
    let entries = batch["entries"].as_array().unwrap().len();
    let sensors = batch["minutes"].as_array().unwrap();
    let lines = |sensor: &Value| sensor["lines"].as_str().unwrap().lines().count();
    assert_eq!(sensors.len(), 3);
    assert_eq!(entries + sensors.iter().map(lines).sum::<usize>(), 402);
    assert!((20..30).contains(&entries), "{entries}");
    let there = Club::with(&[("MUSTWRIGHT_CLUB_NAME", "Another Club")]).await;
    let (_, eve) = a_person(&there, "Eve").await;
    taken_in(&there, &eve, &files).await;
    assert_eq!(rows(&there, LOG).await, rows(&here, LOG).await);
    assert_eq!(rows(&there, HOURS).await, rows(&here, HOURS).await);
    assert!(!rows(&here, HOURS).await.is_empty());
}

#[tokio::test]
async fn a_line_that_no_export_writes_is_refused() {
    let here = Club::open().await;
    let ada = filled(&here).await;
    let files = exported(&ada).await;
    let text = String::from_utf8(bytes_of(&files, "batches.json").to_vec()).unwrap();
    let mut things: Value = serde_json::from_str(&text).unwrap();
    things[0]["minutes"][0]["lines"] = Value::from("9999,1764324000,1764324000,5,20");
    let there = Club::open().await;
    let (_, eve) = a_person(&there, "Eve").await;
    let hostile = with(&files, "batches.json", &things.to_string());
    let page = super::sent(&eve, there.app.site.origin(), &super::zipped(&hostile)).await;
    let waiting = eve.follow(page).await;
    assert!(
        waiting.text.contains("minute by minute cannot be read"),
        "{}",
        waiting.text
    );
}

#[tokio::test]
async fn of_too_much_the_last_of_each_hour_leaves_and_the_file_says_so() {
    let here = Club::open().await;
    let ada = filled(&here).await;
    let readme = |files| String::from_utf8(bytes_of(files, "readme.txt").to_vec()).unwrap();
    let few = exported(&ada).await;
    assert!(!readme(&few).contains("last reading of each hour"));
    let mut owner = here.database.owner().await;
    // As if there were so many.
    let more = "update batch_sensor_hours set readings = readings + 100000";
    owner.execute(more).await.unwrap();
    let files = exported(&ada).await;
    assert!(readme(&files).contains("last reading of each hour"));
    let there = Club::open().await;
    let (_, eve) = a_person(&there, "Eve").await;
    taken_in(&there, &eve, &files).await;
    let kept = rows(&there, LOG).await;
    let all = rows(&here, LOG).await;
    assert!(
        kept.len() < 30 && kept.iter().all(|row| all.contains(row)),
        "{kept:?}"
    );
    let hours = "select concat_ws('|', hour, instrument, entry, at, data) from batch_sensor_hours order by hour, instrument";
    assert_eq!(rows(&there, hours).await, rows(&here, hours).await);
}
