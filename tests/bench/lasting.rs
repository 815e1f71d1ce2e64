//! What the program takes after a while: lists, sheets, recalculations, logs, sign-ins and refusals in turns for 20 minutes (or as many
//! as `MUSTWRIGHT_MINUTES` says); its memory and its open descriptors must not grow.
//!
//! `cargo bench --bench lasting` prints both, minute by minute, and ends with a fault if they grew.

#[path = "../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

#[path = "serving/load.rs"]
#[expect(dead_code, reason = "the other bench uses the rest")]
mod load;
mod seed;

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Duration;

use reqwest::Method;
use support::{Browser, Club, Command, Person, a_member};

const VISITORS: usize = 8;
/// Between two requests of one visitor.
const PAUSE: Duration = Duration::from_millis(100);

fn minutes() -> usize {
    let said = std::env::var("MUSTWRIGHT_MINUTES").ok();
    said.map_or(20, |said| said.parse().expect("MUSTWRIGHT_MINUTES"))
}

/// A batch of whoever is signed in.
async fn a_batch(browser: &Browser) -> String {
    let form = browser.get("/batches/going").await;
    let known = [
        ("What it is called", "Heather"),
        ("In the vessel since", "yesterday"),
        ("How much there is", "4.5 L"),
        ("Gravity when it began", "1090"),
    ];
    let done = browser.submit(&form, "Take it in", &known).await;
    let at = done.location().expect("a batch");
    at.split('?').next().unwrap_or_default().to_owned()
}

/// One visitor until it is over.
async fn visit(
    browser: Browser,
    person: Person,
    sheets: Vec<String>,
    over: Arc<AtomicBool>,
    asked: Arc<AtomicU64>,
) {
    let batch = a_batch(&browser).await;
    let recipe = load::a_recipe();
    let mut turn = 0_usize;
    while !over.load(Ordering::Relaxed) {
        turn += 1;
        let page = match turn % 8 {
            0 => browser.get("/recipes?q=heather").await,
            1 => browser.get("/recipes").await,
            2 | 3 => browser.get(&sheets[turn % sheets.len()]).await,
            4 => {
                let request = browser.request(Method::POST, "/recipes/workbench");
                let request = request
                    .header("content-type", "application/x-www-form-urlencoded")
                    .header("sec-fetch-site", "same-origin")
                    .header("x-live", "1");
                browser.send(request.body(recipe.clone())).await
            }
            5 => browser.get(&batch).await,
            6 if turn.is_multiple_of(40) => {
                let form = browser.get(&format!("{batch}/log")).await;
                browser
                    .submit(&form, "Write it down", &[("Gravity", "1088")])
                    .await
            }
            6 => browser.get("/recipes/aaaaaaaaaaaaaaaaaaaa").await,
            _ if turn.is_multiple_of(200) => {
                browser.post("/sign-out", &[]).await;
                browser.sign_in(&person.name, &person.password).await
            }
            _ => browser.get("/").await,
        };
        assert!(
            page.status < 500 || page.status == 503,
            "{}: {}",
            page.status,
            page.text
        );
        asked.fetch_add(1, Ordering::Relaxed);
        tokio::time::sleep(PAUSE).await;
    }
}

/// Memory now, MB, and open descriptors of a process.
fn taken(process: u32) -> (f64, usize) {
    let folder = Path::new("/proc").join(process.to_string());
    let status = std::fs::read_to_string(folder.join("status")).expect("its memory");
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    let kb = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    let descriptors = std::fs::read_dir(folder.join("fd")).expect("its descriptors");
    (kb.expect("a number of kB") / 1024.0, descriptors.count())
}

#[tokio::main]
async fn main() {
    let club = Club::open().await;
    seed::club(&mut club.database.owner().await, 1_000).await;
    let sheets: Vec<String> = sqlx::query_scalar(
        "select '/recipes/' || public_id from recipes where visibility = 'club' order by md5(public_id) limit 100",
    )
    .fetch_all(club.pool())
    .await
    .expect("recipes");
    let (owner, app) = club.database.urls();
    let port = {
        let free = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
        free.local_addr().expect("the port")
    };
    let mut program = Command::start(
        &[],
        &[
            ("DATABASE_URL", &app),
            ("MIGRATE_DATABASE_URL", &owner),
            ("MUSTWRIGHT_LISTEN", &port.to_string()),
            ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
            ("MUSTWRIGHT_LOG", "error"),
        ],
    );
    program.says("Mustwright serves").await.expect("it serves");
    let (over, asked) = (
        Arc::new(AtomicBool::new(false)),
        Arc::new(AtomicU64::new(0)),
    );
    let mut visitors = Vec::new();
    for number in 0..VISITORS {
        let person = a_member()
            .named(&format!("Visitor {number}"))
            .of(&club)
            .await;
        let browser = Browser::new(port, &format!("http://{port}"), "");
        assert_eq!(
            browser.sign_in(&person.name, &person.password).await.status,
            303
        );
        let (sheets, over, asked) = (sheets.clone(), over.clone(), asked.clone());
        visitors.push(tokio::spawn(visit(browser, person, sheets, over, asked)));
    }
    let mut told = Vec::new();
    for minute in 1..=minutes() {
        tokio::time::sleep(Duration::from_secs(60)).await;
        let (mb, descriptors) = taken(program.id());
        let sum = asked.load(Ordering::Relaxed);
        println!("minute {minute}: {sum} answers, {mb:.1} MB, {descriptors} descriptors");
        told.push((mb, descriptors));
    }
    over.store(true, Ordering::Relaxed);
    for visitor in visitors {
        visitor.await.expect("a visitor");
    }
    // The first quarter is for caches and the pool to fill.
    let rest = &told[told.len() / 4..];
    let (early, late) = rest.split_at(rest.len() / 2);
    let mean =
        |of: &[(f64, usize)]| of.iter().map(|(mb, _)| mb).sum::<f64>() / of.len().max(1) as f64;
    let most = |of: &[(f64, usize)]| of.iter().map(|(_, fd)| *fd).max().unwrap_or(0);
    println!(
        "memory {:.1} MB, then {:.1} MB; descriptors at most {}, then {}",
        mean(early),
        mean(late),
        most(early),
        most(late)
    );
    assert!(mean(late) <= 1.03 * mean(early) + 1.0, "memory grows");
    assert!(most(late) <= most(early) + 2, "descriptors grow");
}
