//! Fifty times the server or its database is killed while several log: no entry that was acknowledged is lost, none is doubled.
//!
//! `MUSTWRIGHT_WRITES=50000` has so many entries acknowledged meanwhile; without it there are a few between any two kills.

use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use mustwright::cluster;
use sqlx::{Connection, PgConnection, Row};

use super::address;
use crate::support::{Browser, Command, PASSWORD, quiet_port};

const KILLS: usize = 50;
/// Entries of one log when there are many: more would make each answer slow.
const OF_ONE_BATCH: usize = 400;
const SEED: u64 = 20_261_128;
const PAUSE: Duration = Duration::from_millis(120);

/// How much is written between the kills, and by how many.
struct Much {
    writes: usize,
    clients: usize,
    pause: Duration,
}

impl Much {
    fn asked() -> Much {
        match std::env::var("MUSTWRIGHT_WRITES") {
            Ok(said) => Much {
                writes: said.parse().expect("MUSTWRIGHT_WRITES"),
                clients: 8,
                pause: Duration::ZERO,
            },
            Err(_) => Much {
                writes: 2 * KILLS,
                clients: 3,
                pause: PAUSE,
            },
        }
    }
}

/// Numbers that look like chance and are the same each time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

async fn serve(data_dir: &Path, port: u16) -> (Command, Option<String>) {
    let (data_dir, listen) = (data_dir.display().to_string(), format!("127.0.0.1:{port}"));
    let settings = [
        ("MUSTWRIGHT_DATA_DIR", data_dir.as_str()),
        ("MUSTWRIGHT_LISTEN", listen.as_str()),
        ("MUSTWRIGHT_LOG", "error"),
        ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
    ];
    let is_new = !Path::new(&data_dir).join("data").exists();
    let mut server = Command::start(&["serve"], &settings);
    server.says("Mustwright serves").await.expect("it serves");
    let link = match is_new {
        true => server.says("Set up the keeper").await,
        false => None,
    };
    (server, link)
}

/// A keeper, signed in, with so many batches: their addresses.
async fn batches(browser: &Browser, link: &str, many: usize) -> Vec<String> {
    let link = link.rsplit(' ').next().expect("a link");
    let path = format!("/{}", link.splitn(4, '/').nth(3).expect("a path"));
    let page = browser.get(&path).await;
    let labelled = [
        ("Your name", "Wren"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
    ];
    assert_eq!(browser.submit(&page, "Set up", &labelled).await.status, 303);
    let signed_in = browser.sign_in("Wren", PASSWORD).await;
    assert_eq!(signed_in.status, 303, "{}", signed_in.text);
    let mut made = Vec::new();
    for number in 0..many {
        let form = browser.get("/batches/going").await;
        let name = format!("Heather {number}");
        let known = [
            ("What it is called", name.as_str()),
            ("In the vessel since", "yesterday"),
            ("How much there is", "4.5 L"),
            ("Gravity when it began", "1090"),
        ];
        let done = browser.submit(&form, "Take it in", &known).await;
        made.push(address(done.location()));
    }
    made
}

/// What a client has to know.
struct Case {
    root: String,
    batches: Vec<String>,
    pause: Duration,
    cookies: String,
    member: String,
    over: AtomicBool,
    written: AtomicUsize,
}

/// Logs one entry after the other, each sent until it is acknowledged; the words of all.
async fn log_on(case: Arc<Case>, client: usize) -> Vec<String> {
    let http = reqwest::Client::builder()
        .redirect(reqwest::redirect::Policy::none())
        .timeout(Duration::from_secs(5))
        .build()
        .expect("a client");
    let mut told = Vec::new();
    while !case.over.load(Ordering::Relaxed) {
        let words = format!("client {client}, entry {}", told.len());
        let once = format!("{}.client{client}entry{:a>20}", case.member, told.len());
        let gravity = format!("{}", 1090 - told.len() % 60);
        let batch = &case.batches[told.len() % case.batches.len()];
        loop {
            let sent = http
                .post(format!("{}{batch}/log", case.root))
                .header("cookie", &case.cookies)
                .header("sec-fetch-site", "same-origin")
                .form(&[
                    ("once", once.as_str()),
                    ("gravity", gravity.as_str()),
                    ("note", words.as_str()),
                ])
                .send()
                .await;
            match sent.map(|answer| answer.status().as_u16()) {
                Ok(303) => break,
                Ok(status) if status < 500 && status != 429 => panic!("answered {status}"),
                _ => tokio::time::sleep(PAUSE / 2).await,
            }
        }
        told.push(words);
        case.written.fetch_add(1, Ordering::Relaxed);
        tokio::time::sleep(case.pause).await;
    }
    told
}

fn postmaster(data_dir: &Path) -> Option<String> {
    let text = fs::read_to_string(data_dir.join("data/postmaster.pid")).ok()?;
    text.lines().next().map(str::to_owned)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn fifty_kills_lose_nothing_that_was_acknowledged_and_double_nothing() {
    let room = tempfile::tempdir().unwrap();
    fs::set_permissions(room.path(), Permissions::from_mode(0o755)).unwrap();
    let data_dir = room.path().join("club");
    let port = quiet_port();
    let (mut server, link) = serve(&data_dir, port).await;
    let root = format!("http://127.0.0.1:{port}");
    let browser = Browser::new(format!("127.0.0.1:{port}").parse().unwrap(), &root, "");
    let much = Much::asked();
    let link = link.expect("a link for the keeper");
    let batches = batches(&browser, &link, much.writes / OF_ONE_BATCH + 1).await;
    let form = browser.get(&format!("{}/log", batches[0])).await;
    let once = form.hidden("once").expect("a once key");
    let case = Arc::new(Case {
        root,
        batches,
        pause: much.pause,
        cookies: browser.cookie_line(),
        member: once.split('.').next().unwrap_or_default().to_owned(),
        over: AtomicBool::new(false),
        written: AtomicUsize::new(0),
    });
    let clients: Vec<_> = (0..much.clients)
        .map(|client| tokio::spawn(log_on(case.clone(), client)))
        .collect();
    let mut chance = Chance(SEED);
    let (mut servers, mut databases) = (0, 0);
    for _ in 0..KILLS {
        // Something was written since the last kill, so that each of them hits a server that works.
        let before = case.written.load(Ordering::Relaxed);
        while case.written.load(Ordering::Relaxed) < before + much.writes / KILLS {
            tokio::time::sleep(Duration::from_millis(5)).await;
            assert!(
                !clients.iter().any(|client| client.is_finished()),
                "a client gave up"
            );
        }
        tokio::time::sleep(Duration::from_millis(chance.below(120))).await;
        match (chance.below(2), postmaster(&data_dir)) {
            (0, Some(pid)) => {
                databases += 1;
                let killed = std::process::Command::new("kill")
                    .args(["-KILL", &pid])
                    .status();
                assert!(killed.unwrap().success());
            }
            _ => {
                servers += 1;
                server.signal("KILL");
                server.ends().await;
                server = serve(&data_dir, port).await.0;
            }
        }
    }
    assert!(servers > 10 && databases > 10, "{servers} and {databases}");
    case.over.store(true, Ordering::Relaxed);
    let mut told = Vec::new();
    for client in clients {
        told.extend(client.await.expect("a client"));
    }
    let since = std::time::Instant::now();
    let options = cluster::attach(&data_dir)
        .expect("the database")
        .owner_options();
    // The last kill may have been just now: the database comes back first.
    let mut conn = loop {
        match PgConnection::connect_with(&options).await {
            Ok(conn) => break conn,
            Err(_) if since.elapsed() < Duration::from_secs(60) => tokio::time::sleep(PAUSE).await,
            Err(cause) => panic!("the database does not come back: {cause}"),
        }
    };
    let query =
        "select coalesce(data->>'text', '') as words from batch_entries where kind = 'note'";
    let rows = sqlx::query(query).fetch_all(&mut conn).await.unwrap();
    let mut kept: Vec<String> = rows.iter().map(|row| row.get("words")).collect();
    let readings: i64 =
        sqlx::query_scalar("select count(*) from batch_entries where kind = 'reading'")
            .fetch_one(&mut conn)
            .await
            .unwrap();
    kept.sort();
    told.sort();
    assert!(told.len() >= much.writes);
    println!(
        "{} acknowledged, {servers} kills of the server, {databases} of the database",
        told.len()
    );
    assert_eq!(kept, told, "what was acknowledged is there, and each once");
    assert_eq!(
        readings as usize,
        told.len(),
        "both entries of a form or none"
    );
    server.signal("TERM");
    server.ends().await;
}
