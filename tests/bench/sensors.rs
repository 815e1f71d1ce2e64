//! Pages while sensors post: 100 batches with 10 readings a minute each, on a server and a PostgreSQL of this machine.
//!
//! `cargo bench --bench sensors` prints the percentiles of three pages' answer times without sensors and with them, and of the
//! posts themselves.

#[path = "../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use support::{Browser, Club, a_member};

const BATCHES: usize = 100;
/// Between two readings of one sensor.
const EVERY: Duration = Duration::from_secs(6);
/// How long pages are asked for, without and with sensors.
const FOR: Duration = Duration::from_secs(30);
const PAUSE: Duration = Duration::from_millis(50);

/// A batch with a sensor: its address and the sensor's token.
async fn a_batch(browser: &Browser, number: usize) -> (String, String) {
    let form = browser.get("/batches/going").await;
    let known = [
        ("What it is called", format!("Number {number}")),
        ("In the vessel since", "yesterday".to_owned()),
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
            1.09 - times.len() as f64 / 10_000.0
        );
        let request = browser
            .request(reqwest::Method::POST, &format!("/api/v1{batch}/readings"))
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

/// Reads pages one after the other; the answer times.
async fn read(browser: &Browser, pages: &[String]) -> Vec<Duration> {
    let (mut times, from) = (Vec::new(), Instant::now());
    for path in pages.iter().cycle() {
        if from.elapsed() > FOR {
            break;
        }
        let began = Instant::now();
        let page = browser.get(path).await;
        times.push(began.elapsed());
        assert_eq!(page.status, 200, "{path}");
        tokio::time::sleep(PAUSE).await;
    }
    times
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
    let pages = [
        "/batches".to_owned(),
        batches[0].0.clone(),
        "/recipes".to_owned(),
    ];
    tell("pages without sensors", read(&browser, &pages).await);
    let over = Arc::new(AtomicBool::new(false));
    let sensors: Vec<_> = batches
        .into_iter()
        .enumerate()
        .map(|(place, batch)| tokio::spawn(post(club.browser(), batch, place, over.clone())))
        .collect();
    tell("pages with 100 sensors", read(&browser, &pages).await);
    over.store(true, Ordering::Relaxed);
    let mut posts = Vec::new();
    for sensor in sensors {
        posts.extend(sensor.await.expect("a sensor"));
    }
    tell("posts of sensors", posts);
}
