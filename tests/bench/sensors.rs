//! Pages while sensors post: 100 batches with 10 readings a minute each, into logs that hold a week of them, one a minute, on a
//! server and a PostgreSQL of this machine.
//!
//! `cargo bench --bench sensors` prints the percentiles of each page's answer times without sensors and with them, and of the posts
//! themselves. Filling takes a minute or two.

#[path = "../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use chrono::{TimeDelta, Utc};
use sqlx::AssertSqlSafe;
use support::{Browser, Club, a_member};

const BATCHES: usize = 100;
/// Between two readings of one sensor.
const EVERY: Duration = Duration::from_secs(6);
/// Readings that each log holds at the beginning, a minute apart.
const LOGGED: i64 = 10_000;
/// How long pages are asked for, without and with sensors: so long that a batch in ten is reckoned anew besides the first time.
const FOR: Duration = Duration::from_secs(60);
const PAUSE: Duration = Duration::from_millis(50);

/// A batch with a sensor: its address and the sensor's token.
async fn a_batch(browser: &Browser, number: usize) -> (String, String) {
    let form = browser.get("/batches/going").await;
    let began = Utc::now() - TimeDelta::minutes(LOGGED + 60);
    let known = [
        ("What it is called", format!("Number {number}")),
        ("In the vessel since", began.format("%Y-%m-%d").to_string()),
        ("How much there is", "4.5 L".to_owned()),
        ("Gravity when it began", "1090".to_owned()),
    ];
    let known: Vec<(&str, &str)> = known
        .iter()
        .map(|(label, text)| (*label, text.as_str()))
        .collect();
    let done = browser.submit(&form, "Take it in", &known).await;
    let batch = done
        .location()
        .expect("a batch")
        .split('?')
        .next()
        .unwrap_or_default()
        .to_owned();
    let form = browser.get(&format!("{batch}/sensors")).await;
    let made = browser
        .submit(
            &form,
            "Make its token",
            &[("What it is called", "The float")],
        )
        .await;
    (batch, made.words_of(".code").expect("a token"))
}

/// Writes what the sensors told until now.
async fn fill(club: &Club) {
    let mut owner = club.database.owner().await;
    let statement = format!(
        "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, came_from)
         select b.id, 1000 + n, 1, 'reading', now() - ({LOGGED} - n) * interval '1 minute', now(), b.owner_id,
             jsonb_build_object('sg', 1.09 - n * 0.000005, 'must_temperature_c', 20 + n % 30 / 10.0, 'instrument', 'The float'),
             'sensor'
         from batches b, generate_series(1, {LOGGED}) n"
    );
    let filled = sqlx::query(AssertSqlSafe(statement))
        .execute(&mut owner)
        .await;
    filled.expect("the logs are filled");
    let analyzed = sqlx::query("analyze").execute(&mut owner).await;
    analyzed.expect("the tables are analyzed");
}

/// Posts until it is told to stop; the answer times.
async fn post(
    browser: Browser,
    (batch, token): (String, String),
    place: usize,
    over: Arc<AtomicBool>,
) -> Vec<Duration> {
    let mut times = Vec::new();
    tokio::time::sleep(EVERY * u32::try_from(place).unwrap_or(0) / BATCHES as u32).await;
    while !over.load(Ordering::Relaxed) {
        let body = format!(
            r#"{{"gravity": {}, "temperature": 20}}"#,
            1.04 - times.len() as f64 / 10_000.0
        );
        let request = browser
            .request(reqwest::Method::POST, &format!("/api/v1{batch}/readings"))
            .header("content-type", "application/json")
            .bearer_auth(&token)
            .body(body);
        let began = Instant::now();
        let page = browser.send(request).await;
        times.push(began.elapsed());
        assert_eq!(page.status, 201, "{}", page.text);
        tokio::time::sleep(EVERY.saturating_sub(began.elapsed())).await;
    }
    times
}

/// Reads pages one after the other and tells the answer times of each.
async fn read(browser: &Browser, pages: &[(&str, String)], when: &str) {
    let (mut times, from) = (vec![Vec::new(); pages.len()], Instant::now());
    while from.elapsed() < FOR {
        for ((_, path), times) in pages.iter().zip(&mut times) {
            let began = Instant::now();
            let page = browser.get(path).await;
            times.push(began.elapsed());
            assert_eq!(page.status, 200, "{path}");
            tokio::time::sleep(PAUSE).await;
        }
    }
    for ((name, _), times) in pages.iter().zip(times) {
        tell(&format!("{name}, {when}"), times);
    }
}

fn tell(what: &str, mut times: Vec<Duration>) {
    times.sort_unstable();
    let at = |share: f64| {
        let place = (times.len().saturating_sub(1) as f64 * share) as usize;
        times.get(place).copied().unwrap_or_default()
    };
    println!(
        "{what}: {} answers, p50 {:?}, p95 {:?}, worst {:?}",
        times.len(),
        at(0.5),
        at(0.95),
        at(1.0)
    );
}

#[tokio::main]
async fn main() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let mut batches = Vec::new();
    for number in 0..BATCHES {
        batches.push(a_batch(&browser, number).await);
    }
    fill(&club).await;
    let pages = [
        ("list of batches", "/batches".to_owned()),
        ("sheet of a batch", batches[0].0.clone()),
        ("list of recipes", "/recipes".to_owned()),
    ];
    read(&browser, &pages, "no sensors").await;
    let over = Arc::new(AtomicBool::new(false));
    let sensors: Vec<_> = batches
        .into_iter()
        .enumerate()
        .map(|(place, batch)| tokio::spawn(post(club.browser(), batch, place, over.clone())))
        .collect();
    read(&browser, &pages, "100 sensors").await;
    over.store(true, Ordering::Relaxed);
    let mut posts = Vec::new();
    for sensor in sensors {
        posts.extend(sensor.await.expect("a sensor"));
    }
    tell("posts of sensors", posts);
}
