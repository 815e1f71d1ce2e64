//! Hostile and unlucky requests: what must hold when bytes, browsers or the database misbehave.

use std::sync::atomic::Ordering;
use std::time::Duration;

use axum::Router;
use axum::routing::get;
use mustwright::app;
use mustwright::web::listen::{self, Limits};
use mustwright::web::socket::Patience;
use sqlx::Executor;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Notify, watch};

use crate::support::{Browser, Club, TestDatabase, a_member};

#[tokio::test]
async fn bodies_that_are_no_form_are_refused_as_such() {
    let club = Club::open().await;
    let browser = club.browser();
    let mut flood = Vec::new();
    for _ in 0..2_100 {
        flood.extend_from_slice(b"a=&");
    }
    for (body, status) in [
        (b"name=a%00b&password=x".to_vec(), 400),
        (b"name=a\0b&password=x".to_vec(), 400),
        (b"name=%ff%fe&password=x".to_vec(), 400),
        (b"name=\xff&password=x".to_vec(), 400),
        (flood, 400),
        (vec![b'&'; 200_000], 400),
        (vec![b'a'; 300 * 1024], 413),
        (b"name=a&name=b&password=x".to_vec(), 400),
        (b"%zz=%&=&&=".to_vec(), 422),
        (Vec::new(), 422),
    ] {
        let start = String::from_utf8_lossy(&body[..body.len().min(30)]).into_owned();
        let page = browser.post_bytes("/sign-in", body).await;
        assert_eq!(page.status, status, "{start}");
        assert!(!page.heading().is_empty(), "{start}");
    }
    let page = browser.get(&format!("/?x={}", "y".repeat(9_000))).await;
    assert_eq!(page.status, 413);
    assert_eq!(browser.get("/").await.status, 200);
}

#[tokio::test]
async fn queries_and_paths_may_hold_anything() {
    let club = Club::open().await;
    let browser = club.browser();
    for path in [
        "/sign-in?next=%00",
        "/sign-in?next=%ff",
        "/set-up/%00",
        "/set-up/%ff",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/settings/x.css",
    ] {
        let page = browser.get(path).await;
        assert!(page.status < 500, "{path}: {}", page.status);
        assert!(!page.heading().is_empty() || page.status == 303, "{path}");
    }
}

#[tokio::test]
async fn error_pages_say_where_to_go_and_hide_the_cause() {
    let club = Club::open().await;
    let page = club.browser().get("/nowhere").await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (404, "Nothing here")
    );
    assert!(page.link("To the first page").is_some());
    assert!(
        page.text.contains(page.header("x-request-id")),
        "the reference number is the one of the log"
    );
    let problem = club.browser().get("/api/v1/nowhere").await;
    assert_eq!(problem.header("content-type"), "application/problem+json");
    let problem: serde_json::Value = serde_json::from_str(&problem.text).unwrap();
    assert_eq!(problem["status"], 404);
    assert!(problem["reference"].is_string());
}

#[tokio::test]
async fn forms_from_elsewhere_do_nothing() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let origin = club.app.site.origin().to_owned();
    // Nearly ours: another name that ends or begins alike, another port.
    let nearly = [
        origin.replace("://", "://evil-"),
        origin.replace("://", "://x@"),
        format!("{origin}.evil.example"),
        format!("{origin}0"),
    ];
    let alike = nearly
        .iter()
        .map(|other| (vec![("origin", other.as_str())], 403));
    let fields = [
        ("units", "us"),
        ("theme", "light"),
        ("zone", "UTC"),
        ("sachet", "7"),
        ("powder_step", "1"),
        ("honey_step", "5"),
    ];
    for (headers, status) in [
        (
            vec![
                ("sec-fetch-site", "cross-site"),
                ("origin", "https://evil.example"),
            ],
            403,
        ),
        (
            vec![
                ("sec-fetch-site", "same-site"),
                ("origin", "https://evil.example"),
            ],
            403,
        ),
        (vec![("sec-fetch-site", "cross-site")], 403),
        (vec![("origin", "https://evil.example")], 403),
        (vec![("origin", "null")], 403),
        (vec![("origin", "http://127.0.0.1:1")], 403),
        (vec![], 403),
        (vec![("sec-fetch-site", "same-origin")], 303),
        (vec![("sec-fetch-site", "none")], 303),
        (vec![("origin", &*origin)], 303),
    ]
    .into_iter()
    .chain(alike)
    {
        let mut request = browser
            .request(reqwest::Method::POST, "/settings")
            .form(&fields);
        for (name, value) in &headers {
            request = request.header(*name, *value);
        }
        let page = browser.send(request).await;
        assert_eq!(page.status, status, "{headers:?}");
        let saved: String = sqlx::query_scalar("select sachet_g::text from members")
            .fetch_one(club.pool())
            .await
            .unwrap();
        assert_eq!(saved == "7.00", status == 303, "{headers:?}");
        sqlx::query("update members set sachet_g = 5")
            .execute(club.pool())
            .await
            .unwrap();
    }
    let text = browser
        .request(reqwest::Method::POST, "/settings")
        .header("origin", &origin)
        .body("units=us");
    assert_eq!(
        browser
            .send(text.header("content-type", "text/plain"))
            .await
            .status,
        422,
        "no form, so nothing was typed"
    );
}

#[tokio::test]
async fn a_panic_is_a_page_and_the_server_lives() {
    let club = Club::open().await;
    async fn falls() -> &'static str {
        panic!("secret cause")
    }
    let broken = app::dressed(Router::new().route("/falls", get(falls)), club.app.clone());
    let (address, stop, server) = listen_with(broken, Limits::default()).await;
    let browser = Browser::new(address, club.app.site.origin(), "");
    let page = browser.get("/falls").await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (500, "Something went wrong")
    );
    assert!(!page.text.contains("secret cause"));
    assert_eq!(browser.get("/health/live").await.status, 200);
    stop.send(true).unwrap();
    server.await.unwrap();
}

pub type Server = (
    std::net::SocketAddr,
    watch::Sender<bool>,
    tokio::task::JoinHandle<()>,
);

pub async fn listen_with(router: Router, limits: Limits) -> Server {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let (stop, stopped) = watch::channel(false);
    (
        address,
        stop,
        tokio::spawn(listen::serve(listener, router, limits, stopped)),
    )
}

pub fn impatient() -> Limits {
    let patience = Patience {
        head: Duration::from_millis(200),
        idle: Duration::from_millis(200),
        write: Duration::from_secs(5),
        body: Duration::from_millis(200),
    };
    Limits {
        patience,
        ..Limits::default()
    }
}

#[tokio::test]
async fn silent_and_half_sent_connections_are_closed() {
    let club = Club::opened(&[], impatient(), TestDatabase::make().await).await;
    for sent in [
        "",
        "GE",
        "GET / HTTP/1.1\r\nHost: x\r\n",
        "GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n",
    ] {
        let mut stream = TcpStream::connect(club.address).await.unwrap();
        stream.write_all(sent.as_bytes()).await.unwrap();
        let mut answer = Vec::new();
        let closed =
            tokio::time::timeout(Duration::from_secs(20), stream.read_to_end(&mut answer)).await;
        assert!(closed.is_ok(), "still open after {sent:?}");
        assert_eq!(
            answer.starts_with(b"HTTP/1.1 200"),
            sent.ends_with("\r\n\r\n"),
            "{sent:?}"
        );
    }
    let mut dripping = TcpStream::connect(club.address).await.unwrap();
    let dripped = tokio::time::timeout(Duration::from_secs(20), async {
        for byte in b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: "
            .iter()
            .chain([b'a'; 2_000].iter())
        {
            if dripping.write_all(&[*byte]).await.is_err() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("a head may drip for ever");
    });
    dripped
        .await
        .expect("the connection is closed while it drips");
}

#[tokio::test]
async fn more_connections_than_room_wait_their_turn() {
    let limits = Limits {
        connections: 2,
        ..impatient()
    };
    let club = Club::opened(&[], limits, TestDatabase::make().await).await;
    let mut silent = Vec::new();
    for _ in 0..6 {
        silent.push(TcpStream::connect(club.address).await.unwrap());
    }
    assert_eq!(club.browser().get("/health/live").await.status, 200);
}

#[tokio::test]
async fn heads_beyond_the_limit_are_refused() {
    let club = Club::open().await;
    let mut stream = TcpStream::connect(club.address).await.unwrap();
    let head = format!(
        "GET / HTTP/1.1\r\nHost: x\r\nX-Long: {}\r\n\r\n",
        "a".repeat(64 * 1024)
    );
    let _ = stream.write_all(head.as_bytes()).await;
    let mut answer = vec![0; 12];
    stream.read_exact(&mut answer).await.unwrap();
    assert_eq!(answer, b"HTTP/1.1 431");
}

#[tokio::test]
async fn answers_under_way_end_before_the_server_does() {
    let club = Club::open().await;
    let (came, go) = (
        std::sync::Arc::new(Notify::new()),
        std::sync::Arc::new(Notify::new()),
    );
    let handler = {
        let (came, go) = (came.clone(), go.clone());
        move || async move {
            came.notify_one();
            go.notified().await;
            "done"
        }
    };
    let slow = Router::new().route("/slow", get(handler));
    let (address, stop, server) =
        listen_with(app::dressed(slow, club.app.clone()), Limits::default()).await;
    let _silent = TcpStream::connect(address).await.unwrap();
    let browser = Browser::new(address, club.app.site.origin(), "");
    let asked = tokio::spawn(async move { browser.get("/slow").await });
    came.notified().await;
    club.app.stopping.store(true, Ordering::Relaxed);
    stop.send(true).unwrap();
    tokio::time::sleep(Duration::from_millis(50)).await;
    assert!(!server.is_finished());
    go.notify_one();
    assert_eq!(asked.await.unwrap().text, "done");
    server.await.unwrap();
    assert!(
        TcpStream::connect(address).await.is_err(),
        "nobody new is let in"
    );
    assert_eq!(
        club.browser().get("/health/ready").await.status,
        503,
        "and nobody is sent here"
    );
}

const TYPED: &[(&str, &str)] = &[
    ("units", "us"),
    ("theme", "dark"),
    ("zone", "Europe/London"),
    ("sachet", "11,5 g \"typed\""),
    ("powder_step", "1"),
    ("honey_step", "5"),
    ("password", "hush hush"),
];

#[tokio::test]
async fn a_stopped_database_is_a_page_that_keeps_the_text() {
    let (database, cluster) = TestDatabase::alone().await;
    let club = Club::opened(&[], Limits::default(), database).await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    assert_eq!(browser.get("/health/ready").await.status, 200);
    tokio::task::spawn_blocking(move || cluster.stop())
        .await
        .unwrap();
    let page = browser.post("/settings", TYPED).await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (503, "Not right now"),
        "{}",
        page.text
    );
    assert!(page.header("retry-after").parse::<u32>().unwrap() > 0);
    assert!(page.has_button("Send again"));
    assert_eq!(page.hidden("sachet").as_deref(), Some("11,5 g \"typed\""));
    assert_eq!(page.hidden("zone").as_deref(), Some("Europe/London"));
    assert!(
        !page.text.contains("hush"),
        "a password is never written back"
    );
    assert_eq!(browser.get("/health/ready").await.status, 503);
    assert_eq!(browser.get("/health/live").await.status, 200);
    assert_eq!(
        club.browser().get("/").await.status,
        200,
        "what needs no database is there"
    );
}

#[tokio::test]
async fn a_full_pool_is_a_page_that_keeps_the_text() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let mut held = Vec::new();
    for _ in 0..4 {
        held.push(club.pool().acquire().await.unwrap());
    }
    let page = browser.post("/settings", TYPED).await;
    assert_eq!(page.status, 503);
    assert_eq!(page.hidden("sachet").as_deref(), Some("11,5 g \"typed\""));
    drop(held);
    let sent = browser.submit(&page, "Send again", &[]).await;
    assert_eq!(sent.status, 422, "it arrives as it was typed");
}

#[tokio::test]
async fn lost_connections_are_replaced() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let mut conn = club.pool().acquire().await.unwrap();
    let killed = conn
        .execute("select pg_terminate_backend(pg_backend_pid())")
        .await;
    assert!(killed.is_err());
    drop(conn);
    for _ in 0..3 {
        let page = browser.get("/settings").await;
        assert!([200, 503].contains(&page.status), "{}", page.status);
    }
    assert_eq!(browser.get("/settings").await.status, 200);
}

#[tokio::test]
async fn connections_give_up_in_time_and_own_nothing() {
    let club = Club::open().await;
    for (setting, wanted) in [
        ("statement_timeout", "5s"),
        ("lock_timeout", "4s"),
        ("idle_in_transaction_session_timeout", "10s"),
    ] {
        let held: String = sqlx::query_scalar("select current_setting($1)")
            .bind(setting)
            .fetch_one(club.pool())
            .await
            .unwrap();
        assert_eq!(held, wanted, "{setting}");
    }
    for forbidden in [
        "create table theirs (id int)",
        "drop table members",
        "alter table members add column x int",
        "delete from members",
    ] {
        assert!(club.pool().execute(forbidden).await.is_err(), "{forbidden}");
    }
}
