//! What it bears: a hundred sign-ins at once, five hundred connections that send half a request.

use std::time::{Duration, Instant};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::task::JoinSet;

use super::Line;
use super::program::Program;
use super::support::{Browser, Person};

/// How long a list takes, asked for again and again until a moment; its p95, ms.
async fn others(browser: &Browser, until: Instant) -> f64 {
    let mut times = Vec::new();
    while Instant::now() < until {
        let began = Instant::now();
        assert_eq!(browser.get("/recipes").await.status, 200);
        times.push(began.elapsed());
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    times.sort_unstable();
    let at = (times.len().saturating_sub(1) * 95) / 100;
    times
        .get(at)
        .map_or(f64::NAN, |time| time.as_secs_f64() * 1000.0)
}

/// A hundred at a time sign in, again and again; what whoever is signed in already notices.
pub async fn sign_ins(program: &Program, browser: &Browser, person: &Person) -> Vec<Line> {
    let until = Instant::now() + Duration::from_secs(super::load::seconds());
    let mut crowd = JoinSet::new();
    for _ in 0..100 {
        let (own, person) = (program.browser(), person.clone());
        crowd.spawn(async move {
            let mut let_in = 0_u32;
            while Instant::now() < until {
                let page = own.sign_in(&person.name, &person.password).await;
                assert!(matches!(page.status, 303 | 429 | 503), "{}", page.status);
                let_in += u32::from(page.status == 303);
            }
            let_in
        });
    }
    let p95 = others(browser, until).await;
    let let_in: u32 = crowd.join_all().await.into_iter().sum();
    println!("{let_in} of those who signed in at once were let in");
    vec![
        Line::at_most("a list during 100 sign-ins at once: p95", p95, 100.0, "ms"),
        Line::at_most(
            "memory during 100 sign-ins at once",
            program.most_mb(),
            150.0,
            "MB",
        ),
    ]
}

/// Five hundred send half a head and wait.
pub async fn half_open(program: &Program, browser: &Browser) -> Vec<Line> {
    let quiet = others(browser, Instant::now() + Duration::from_secs(5)).await;
    let began = Instant::now();
    let mut silent = JoinSet::new();
    for _ in 0..500 {
        let address = program.address();
        silent.spawn(async move {
            let mut stream = TcpStream::connect(address).await.expect("a connection");
            stream
                .write_all(b"GET /recipes HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Half: ")
                .await
                .expect("half a head");
            let mut rest = Vec::new();
            // Closed with or without words, or torn: all are an end.
            let _ = stream.read_to_end(&mut rest).await;
            began.elapsed()
        });
    }
    let meanwhile = others(browser, began + Duration::from_secs(8)).await;
    let longest = silent
        .join_all()
        .await
        .into_iter()
        .max()
        .unwrap_or_default();
    vec![
        Line::at_most(
            "the last of 500 half-sent requests is closed after",
            longest.as_secs_f64(),
            30.0,
            "s",
        ),
        Line::at_most(
            "a list meanwhile: p95",
            meanwhile,
            (quiet * 1.2 * 10.0).round() / 10.0 + 1.0,
            "ms",
        ),
    ]
}
