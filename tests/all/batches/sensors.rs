//! Sensors: made, tried and taken back on their page; what they post is written once, and opens nothing else.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{a_maker, started};
use crate::support::{Browser, Club, Page};

const NAMES: &[(&str, &str)] = &[
    ("What it is called", "The float"),
    ("What it calls the gravity", "float/density"),
    ("What it calls the temperature", "temp"),
    ("What it calls the time", "when"),
];

/// Makes a sensor; its token.
async fn token_of(browser: &Browser, batch: &str, labelled: &[(&str, &str)]) -> String {
    let form = browser.get(&format!("{batch}/sensors")).await;
    let made = browser.submit(&form, "Make its token", labelled).await;
    assert_eq!(made.status, 200, "{}", made.text);
    assert_eq!(made.header("cache-control"), "no-store");
    made.words_of(".code").expect("a token")
}

async fn post(club: &Club, batch: &str, token: &str, body: &str) -> Page {
    let browser = club.browser();
    let request = browser
        .request(reqwest::Method::POST, &format!("/api/v1{batch}/readings"))
        .header("content-type", "application/json")
        .bearer_auth(token)
        .body(body.to_owned());
    browser.send(request).await
}

async fn count(club: &Club) -> i64 {
    sqlx::query_scalar("select count(*) from batch_entries where came_from = 'sensor'")
        .fetch_one(club.pool())
        .await
        .unwrap()
}

#[tokio::test]
async fn what_a_sensor_posts_is_read_by_its_names_and_written_once() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("Mixing day", "2026-11-20")]).await;
    let token = token_of(&ada, &batch, NAMES).await;
    let body = r#"{"float": {"density": "1.062"}, "temp": 21.5, "when": "2026-11-27T10:00:00Z", "battery": 3.7}"#;
    let written = post(&club, &batch, &token, body).await;
    assert_eq!(written.status, 201, "{}", written.text);
    let again = post(&club, &batch, &token, body).await;
    assert_eq!((again.status, &again.text), (200, &written.text));
    let form = "float%2Fdensity=1.061&temp=21.5&when=2026-11-27T11%3A00%3A00Z";
    assert_eq!(post(&club, &batch, &token, form).await.status, 201);
    let page = ada.get(&batch).await;
    let log = page.words_of(".log").unwrap();
    assert!(log.contains("1.062 to 1.061"), "{log}");
    assert!(log.contains("2 readings by The float"), "{log}");
    assert!(ada.get("/batches").await.text.contains("1.061"));
    let much = " ".repeat(5_000);
    for (body, status) in [
        ("{", 400),
        ("", 422),
        (r#"{"temp": "warm"}"#, 422),
        (r#"{"temp": 20, "when": "2027-01-01T00:00:00Z"}"#, 422),
        (much.as_str(), 413),
    ] {
        let refused = post(&club, &batch, &token, body).await;
        assert_eq!(refused.status, status, "{body}: {}", refused.text);
        assert_eq!(refused.header("content-type"), "application/problem+json");
    }
    assert_eq!(count(&club).await, 2);
}

#[tokio::test]
async fn a_token_writes_readings_of_its_batch_and_opens_nothing_else() {
    let club = Club::with(&[("MUSTWRIGHT_API_PER_MINUTE", "5")]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let (batch, other) = (
        started(&ada, &recipe, &[]).await,
        started(&ada, &recipe, &[]).await,
    );
    let token = token_of(&ada, &batch, NAMES).await;
    let body = r#"{"temp": 20}"#;
    assert_eq!(post(&club, &other, &token, body).await.status, 404);
    assert_eq!(post(&club, &batch, "nonsense", body).await.status, 401);
    let browser = club.browser();
    for path in ["/api/v1/recipes", &batch] {
        let request = browser
            .request(reqwest::Method::GET, path)
            .bearer_auth(&token);
        assert!(
            [401, 303].contains(&browser.send(request).await.status),
            "{path}"
        );
    }
    for _ in 0..4 {
        assert_eq!(post(&club, &batch, &token, body).await.status, 201);
    }
    let wait = post(&club, &batch, &token, body).await;
    assert_eq!(wait.status, 429);
    assert!(!wait.header("retry-after").is_empty());
    sqlx::query("update batch_sensors set minute_began_at = now() - interval '2 minutes'")
        .execute(club.pool())
        .await
        .unwrap();
    let page = ada.get(&format!("{batch}/sensors")).await;
    let back = ada.submit(&page, "Take it back: The float", &[]).await;
    assert_eq!(back.status, 303, "{}", back.text);
    assert_eq!(post(&club, &batch, &token, body).await.status, 401);
    // Of a batch in the bin nothing is told.
    let token = token_of(&ada, &batch, NAMES).await;
    let page = ada.get(&batch).await;
    ada.submit(&page, "Put it in the bin", &[]).await;
    assert_eq!(post(&club, &batch, &token, body).await.status, 404);
}

#[tokio::test]
async fn an_example_shows_what_would_be_read_and_keeps_what_was_typed() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/sensors")).await;
    let mut typed = NAMES.to_vec();
    typed.push(("How it tells gravity", "points"));
    typed.push((
        "What it sends, to try it",
        r#"{"float": {"density": 62}, "temp": 20}"#,
    ));
    let shown = ada.submit(&form, "Try it first", &typed).await;
    let read = shown.words_of(".read").unwrap_or_default();
    assert!(
        read.contains("Gravity 1.062") && read.contains("20 °C"),
        "{read}"
    );
    assert_eq!(shown.value("What it calls the gravity"), "float/density");
    typed.pop();
    typed.push(("What it sends, to try it", r#"{"gravity": 62}"#));
    let shown = ada.submit(&form, "Try it first", &typed).await;
    assert_eq!(shown.status, 422);
    let fault = shown.fault("What it sends, to try it");
    assert!(
        fault.contains("There is no “float/density” in it"),
        "{fault}"
    );
    let none = [
        ("What it calls the gravity", ""),
        ("What it calls the temperature", ""),
    ];
    let shown = ada.submit(&form, "Make its token", &none).await;
    assert_eq!(shown.status, 422);
    assert!(!shown.fault("What it is called").is_empty());
    assert!(!shown.fault("What it calls the gravity").is_empty());
}

#[tokio::test]
async fn each_distinct_reading_is_stored_once_however_many_come_at_once() {
    const SENSORS: usize = 4;
    const READINGS: usize = 12;
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let mut posts = Vec::new();
    for _ in 0..SENSORS {
        let batch = started(&ada, &recipe, &[]).await;
        let token = token_of(&ada, &batch, NAMES).await;
        for reading in 0..READINGS {
            let at = chrono::Utc::now() - chrono::TimeDelta::seconds(reading as i64);
            let body = format!(
                r#"{{"temp": {}, "when": "{}"}}"#,
                18.0 + reading as f64 / 10.0,
                at.to_rfc3339()
            );
            posts.push((batch.clone(), token.clone(), body));
        }
    }
    // Each is sent twice at the same time.
    let club = Arc::new(club);
    let turns = Arc::new(tokio::sync::Semaphore::new(8));
    let mut sent = tokio::task::JoinSet::new();
    let twice = posts.clone().into_iter().chain(posts);
    for (batch, token, body) in twice {
        let club = club.clone();
        let turns = turns.clone();
        // A server has only so many connections: a device that is told to wait comes again.
        sent.spawn(async move {
            let _turn = turns.acquire().await.expect("a turn");
            loop {
                let page = post(&club, &batch, &token, &body).await;
                if page.status != 503 {
                    return page;
                }
            }
        });
    }
    let mut statuses: BTreeMap<u16, usize> = BTreeMap::new();
    for page in sent.join_all().await {
        *statuses.entry(page.status).or_default() += 1;
    }
    let all = SENSORS * READINGS;
    assert_eq!(statuses, BTreeMap::from([(200, all), (201, all)]));
    assert_eq!(count(&club).await, all as i64);
}

#[tokio::test]
async fn a_sensor_is_renamed_and_told_anew_what_it_calls_things() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let token = token_of(&ada, &batch, NAMES).await;
    let first = post(&club, &batch, &token, r#"{"float": {"density": 1.062}}"#).await;
    assert_eq!(first.status, 201, "{}", first.text);
    let sensors = format!("{batch}/sensors");
    let page = ada.get(&sensors).await;
    let link = page.link("Change it: The float").expect("the way to it");
    let form = ada.get(&link).await;
    assert_eq!(form.value("What it is called"), "The float");
    assert_eq!(form.value("What it calls the gravity"), "float/density");
    let mut changed = vec![
        ("What it is called", "The new float"),
        ("What it calls the gravity", "sg"),
        ("How it tells gravity", "points"),
        ("What it calls the time", ""),
        ("What it sends, to try it", r#"{"sg": 61}"#),
    ];
    let tried = ada.submit(&form, "Try it first", &changed).await;
    let read = tried.words_of(".read").unwrap_or_default();
    assert!(read.contains("Gravity 1.061"), "{read}");
    // Nothing is changed by a try.
    assert!(ada.get(&sensors).await.text.contains("float/density"));
    let none = [("What it is called", "")];
    let refused = ada.submit(&tried, "Save", &none).await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault("What it is called").is_empty());
    assert_eq!(refused.value("What it calls the gravity"), "sg");
    changed.pop();
    let saved = ada.submit(&refused, "Save", &changed).await;
    assert_eq!(saved.location(), Some(sensors.as_str()));
    let again = post(&club, &batch, &token, r#"{"sg": 60}"#).await;
    assert_eq!(again.status, 201, "{}", again.text);
    let log = ada.get(&batch).await.words_of(".log").unwrap();
    assert!(log.contains("1.060") && log.contains("1.062"), "{log}");
    let told: Vec<String> = sqlx::query_scalar(
        "select data->>'instrument' from batch_entries where came_from = 'sensor' order by entry",
    )
    .fetch_all(club.pool())
    .await
    .unwrap();
    assert_eq!(told, ["The float", "The new float"]);
    // Who saw it as it was before does not overwrite it.
    let late = ada
        .submit(&form, "Save", &[("What it is called", "Mine")])
        .await;
    assert_eq!(late.status, 409);
    assert_eq!(late.value("What it is called"), "Mine");
    assert!(ada.get(&sensors).await.text.contains("The new float"));
    let bert = a_maker(&club, "Bert").await.1;
    assert_eq!(bert.get(&link).await.status, 404);
}
