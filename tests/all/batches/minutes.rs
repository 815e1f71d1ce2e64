//! A log that sensors fill minute by minute: a page reads the last of each hour and says the same as if it had read all; the files
//! of the log hold every minute.

use std::collections::BTreeSet;

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::batches::log::store::{beginning, next};
use mustwright::batches::model::{CameFrom, Logged, NewEntry};
use mustwright::batches::opened::{self, Opened, reckon};
use mustwright::batches::parting::store::copy_log;
use mustwright::batches::{outlook, store};
use mustwright::engine::Settings;
use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Pitch, Reading};
use serde_json::Value;

use super::{a_maker, started, wrote};
use crate::recipes::saved;
use crate::support::{Browser, Club, Person};

const HOURS: i64 = 72;

/// What a sensor tells so many minutes after the mixing.
fn told(minute: i64, instrument: &str) -> Reading {
    let fallen = 0.000_006 * minute as f64 + 0.0004 * ((minute * 7 % 5) as f64 - 2.0);
    Reading {
        sg: Some(1.098 - fallen),
        must_temperature_c: Some(20.0 + (minute % 90) as f64 / 30.0),
        instrument: Some(instrument.to_owned()),
        ..Reading::default()
    }
}

/// A batch whose sensors told every two and every seven minutes, some of it late.
async fn filled(club: &Club) -> (Person, Browser, String) {
    let (ada, browser, recipe) = a_maker(club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    wrote(club, &ada, &batch, 0.0, Deed::Pitch(Pitch::default())).await;
    let id = batch.rsplit('/').next().unwrap().parse().unwrap();
    let mut tx = club.pool().begin().await.unwrap();
    let found = store::find(&mut tx, Some(ada.id), &id)
        .await
        .unwrap()
        .unwrap();
    let of_float = (0..HOURS * 30).map(|n| (n * 2, "The float"));
    let of_other = (0..HOURS * 60 / 7).map(|n| (n * 7, "The other"));
    let mut all: Vec<(i64, &str)> = of_float.chain(of_other).collect();
    // What one sensor lost its connection with comes hours later, the newest first.
    all.sort_by_key(|(minute, _)| match minute / 600 {
        3 => 3_000 - minute,
        _ => *minute,
    });
    for (minute, instrument) in all {
        let at = found.began_at + TimeDelta::minutes(minute);
        let entry = NewEntry {
            came_from: CameFrom::Sensor,
            ..NewEntry::of(Deed::Reading(told(minute, instrument)), at, ada.id)
        };
        store::add(&mut tx, found.id, &entry, at).await.unwrap();
    }
    tx.commit().await.unwrap();
    (ada, browser, batch)
}

async fn opened_of(club: &Club, ada: &Person, batch: &str) -> Opened {
    let id = batch.rsplit('/').next().unwrap();
    let mut conn = club.pool().acquire().await.unwrap();
    let opened = opened::open(&mut conn, Some(ada.id), &Settings::default(), id).await;
    opened.map_err(|_| "it opens").unwrap()
}

/// Every entry in the version that counts.
async fn all_of(club: &Club, opened: &Opened) -> Vec<Logged> {
    let mut conn = club.pool().acquire().await.unwrap();
    let mut place = beginning(&mut conn, opened.batch.id).await.unwrap();
    let mut all = Vec::new();
    loop {
        let more = next(&mut conn, opened.batch.id, &mut place, 700)
            .await
            .unwrap();
        if more.is_empty() {
            return all;
        }
        all.extend(more);
    }
}

/// The sensor and the hour of a reading that stands as it came.
fn hour_of(logged: &Logged) -> Option<(i64, String)> {
    let is_plain = logged.came_from == "sensor" && logged.version == 1 && !logged.struck;
    match &logged.deed {
        Deed::Reading(reading) if is_plain => Some((
            logged.at.timestamp().div_euclid(3_600),
            reading.instrument.clone().unwrap_or_default(),
        )),
        _ => None,
    }
}

/// Hours in which a sensor told something, and all other entries.
fn lines_of(all: &[Logged]) -> usize {
    let hours: BTreeSet<(i64, String)> = all.iter().filter_map(hour_of).collect();
    hours.len() + all.iter().filter(|one| hour_of(one).is_none()).count()
}

/// The same batch with everything read, and then of each sensor the last reading of each hour taken.
fn with_all_read(opened: &Opened, all: &[Logged]) -> Opened {
    let mut heard = BTreeSet::new();
    let mut kept: Vec<Logged> = all
        .iter()
        .rev()
        .filter(|logged| hour_of(logged).is_none_or(|hour| heard.insert(hour)))
        .cloned()
        .collect();
    kept.reverse();
    let reckoned = reckon(opened.batch.clone(), kept, &Settings::default());
    reckoned.map_err(|_| "it is reckoned").unwrap()
}

fn assert_same(opened: &Opened, whole: &Opened) {
    assert_eq!(opened.entries, whole.entries);
    assert_eq!(opened.state, whole.state);
    let sight = |of: &Opened| outlook::sight(of, HOURS as f64, Vec::new(), false).outlook;
    assert!(sight(opened).is_ok_and(|outlook| outlook.is_fitted));
    assert_eq!(sight(opened), sight(whole));
    assert_eq!(opened.numbers(), whole.numbers());
}

#[tokio::test]
async fn the_last_of_each_hour_says_what_the_whole_log_says() {
    let club = Club::open().await;
    let (ada, browser, batch) = filled(&club).await;
    wrote(
        &club,
        &ada,
        &batch,
        30.5,
        Deed::Reading(told(1_830, "A hydrometer")),
    )
    .await;
    let opened = opened_of(&club, &ada, &batch).await;
    let all = all_of(&club, &opened).await;
    assert_eq!(all.len() as i64, HOURS * 30 + HOURS * 60 / 7 + 2);
    assert_eq!(opened.log.len(), lines_of(&all));
    assert_same(&opened, &with_all_read(&opened, &all));

    // One is taken out and one corrected, each the last of its hour: the one before it counts.
    let last_of = |hour: i64| {
        let hour = opened.batch.began_at.timestamp().div_euclid(3_600) + hour;
        let key = (hour, "The float".to_owned());
        let theirs = all
            .iter()
            .rev()
            .find(|one| hour_of(one).as_ref() == Some(&key));
        theirs.expect("an entry").entry
    };
    for hour in [10, 20] {
        let page = browser
            .get(&format!("{batch}/log/entry/{}", last_of(hour)))
            .await;
        let done = match hour {
            10 => browser.submit(&page, "Take it out", &[]).await,
            _ => {
                browser
                    .submit(&page, "Correct it", &[("Gravity", "1085")])
                    .await
            }
        };
        assert_eq!(done.status, 303, "{}", done.text);
    }
    let opened = opened_of(&club, &ada, &batch).await;
    let all = all_of(&club, &opened).await;
    assert_same(&opened, &with_all_read(&opened, &all));
    assert_eq!(opened.log.len(), lines_of(&all));
}

#[tokio::test]
async fn an_hour_tells_how_many_readings_it_had_and_between_which_values() {
    let club = Club::open().await;
    let (ada, _, batch) = filled(&club).await;
    let opened = opened_of(&club, &ada, &batch).await;
    let all = all_of(&club, &opened).await;
    let hours: Vec<&Logged> = opened
        .log
        .iter()
        .filter(|one| one.heard.is_some())
        .collect();
    assert_eq!(hours.len() + 1, lines_of(&all));
    for hour in hours {
        let theirs = all.iter().filter(|one| hour_of(one) == hour_of(hour));
        let read = theirs.filter_map(|one| match &one.deed {
            Deed::Reading(reading) => reading.sg.zip(reading.must_temperature_c),
            _ => None,
        });
        let read: Vec<(f64, f64)> = read.collect();
        let between = |of: fn(&(f64, f64)) -> f64| {
            let values = read.iter().map(of);
            let low = values.clone().fold(f64::INFINITY, f64::min);
            (low, values.fold(f64::NEG_INFINITY, f64::max))
        };
        let heard = hour.heard.unwrap();
        assert_eq!(heard.readings as usize, read.len());
        assert_eq!(heard.sg, Some(between(|(sg, _)| *sg)));
        assert_eq!(heard.must_temperature_c, Some(between(|(_, heat)| *heat)));
    }
}

#[tokio::test]
async fn the_files_of_a_log_hold_every_minute_in_the_order_of_their_times() {
    let club = Club::open().await;
    let (ada, browser, batch) = filled(&club).await;
    let opened = opened_of(&club, &ada, &batch).await;
    let all: Vec<i32> = all_of(&club, &opened)
        .await
        .iter()
        .map(|one| one.entry)
        .collect();
    assert!(all.len() > 2_000);
    let file = browser.get(&format!("{batch}/log.csv")).await;
    let mut reader = csv::Reader::from_reader(file.text.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let entries: Vec<i32> = rows.iter().map(|row| row[0].parse().unwrap()).collect();
    assert_eq!(entries, all);
    let file = browser.get(&format!("{batch}/log.json")).await;
    let kept: Value = serde_json::from_str(&file.text).unwrap();
    let kept = kept["entries"].as_array().unwrap();
    let at = |entry: &Value| -> DateTime<Utc> { entry["at"].as_str().unwrap().parse().unwrap() };
    assert!(kept.iter().is_sorted_by_key(at));
    let entries = kept
        .iter()
        .map(|entry| entry["entry"].as_i64().unwrap() as i32);
    assert_eq!(entries.collect::<Vec<i32>>(), all);
}

#[tokio::test]
async fn a_part_begins_with_the_last_of_each_hour_until_it_was_parted() {
    let club = Club::open().await;
    let (ada, browser, batch) = filled(&club).await;
    let recipe = saved(&browser, &[("Name", "Another")]).await;
    let other = started(&browser, &recipe, &[]).await;
    let (from, to) = (
        opened_of(&club, &ada, &batch).await,
        opened_of(&club, &ada, &other).await,
    );
    let until = from.batch.began_at + TimeDelta::minutes(50 * 60 + 41);
    let mut conn = club.pool().acquire().await.unwrap();
    copy_log(&mut conn, (from.batch.id, to.batch.id), until, until)
        .await
        .unwrap();
    let all = all_of(&club, &from).await.into_iter();
    let known: Vec<Logged> = all.filter(|one| one.at <= until).collect();
    let whole = with_all_read(&from, &known);
    let told = |of: &Opened| -> Vec<(DateTime<Utc>, Deed)> {
        of.log
            .iter()
            .map(|one| (one.at, one.deed.clone()))
            .collect()
    };
    assert_eq!(told(&opened_of(&club, &ada, &other).await), told(&whole));
}
