//! Where the program listens: a unix socket, a second listener for metrics, and the command that asks for its health.

use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use tokio::net::UnixStream;

use crate::support::{Browser, Club, Command, PASSWORD, TestDatabase, a_member, quiet_port};

const SERVES: &str = "Mustwright serves";
const METRICS: &str = "Metrics are told at ";

/// A folder of this test, gone at its end.
fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

fn mode_of(path: &Path) -> u32 {
    let facts = std::fs::metadata(path).expect("a file");
    facts.permissions().mode() & 0o777
}

#[tokio::test]
async fn a_unix_socket_serves_like_a_port_and_is_gone_at_the_end() {
    let club = Club::open().await;
    let (folder, ada) = (folder(), a_member().of(&club).await);
    let path = folder.path().join("http.sock");
    // What a killed server left.
    drop(std::os::unix::net::UnixListener::bind(&path).expect("a socket"));
    let (owner, app) = club.database.urls();
    let listen = format!("unix:{}", path.display());
    let settings = [
        ("MIGRATE_DATABASE_URL", owner.as_str()),
        ("DATABASE_URL", &app),
        ("MUSTWRIGHT_LISTEN", &listen),
        ("MUSTWRIGHT_SOCKET_MODE", "606"),
        ("MUSTWRIGHT_BASE_URL", "https://mead.example/club"),
        ("MUSTWRIGHT_TRUSTED_PROXIES", "unix"),
        ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
    ];
    let mut server = Command::start(&[], &settings);
    let line = server.says(SERVES).await.expect("it serves");
    assert!(line.ends_with("https://mead.example/club/"), "{line}");
    server.says("The data is in").await.expect("it is there");
    assert_eq!(mode_of(&path), 0o606);
    let browser = || Browser::through(path.clone(), "https://mead.example", "/club");

    let ours = browser();
    assert_eq!(ours.get("/health/ready").await.status, 200);
    let page = ours.sign_in(&ada.name, PASSWORD).await;
    assert_eq!(page.status, 303, "{}", page.text);
    assert_eq!(ours.get("/recipes").await.status, 200);
    let asked = Command::start(&["healthcheck"], &settings).ends().await;
    assert_eq!(asked.code, Some(0), "{}", asked.complained);

    // Each address that the proxy names has tries of its own.
    let wrong = [("name", "Nobody"), ("password", "not this one, nor that")];
    let tries = browser();
    let mut slowed = false;
    // Each wait is twice the one before: on a slow machine the first ones may be over when the next try comes.
    for _ in 0..9 {
        let form = tries
            .request(reqwest::Method::POST, "/sign-in")
            .form(&wrong);
        let form = form.header("origin", "https://mead.example");
        let page = tries
            .send(form.header("x-forwarded-for", "203.0.113.7"))
            .await;
        slowed = page.status == 429;
        if slowed {
            break;
        }
    }
    assert!(slowed, "soon a try from one address waits");
    let form = tries
        .request(reqwest::Method::POST, "/sign-in")
        .form(&wrong);
    let form = form.header("origin", "https://mead.example");
    let page = tries
        .send(form.header("x-forwarded-for", "203.0.113.8"))
        .await;
    assert_eq!(page.status, 422, "another address waits for nobody");

    let second = Command::start(&[], &settings).ends().await;
    assert_eq!(second.code, Some(1));
    let said = format!("cannot listen on {listen}: another server listens there");
    assert!(second.complained.contains(&said), "{}", second.complained);

    // A connection that says nothing does not hold the end up for long, and nobody new comes in meanwhile.
    let silent = UnixStream::connect(&path).await.expect("a connection");
    server.signal("TERM");
    let ended = server.ends().await;
    assert_eq!(ended.code, Some(0), "{}", ended.complained);
    drop(silent);
    assert!(!path.exists());
    let asked = Command::start(&["healthcheck"], &settings).ends().await;
    assert_eq!(asked.code, Some(1));
    let said = format!("no answer at {listen}");
    assert!(asked.complained.contains(&said), "{}", asked.complained);
}

/// The value of a sample, by its name and labels as they stand in the text.
fn sample(text: &str, name: &str) -> Option<f64> {
    let start = format!("{name} ");
    let line = text.lines().find_map(|line| line.strip_prefix(&start));
    line.map(|value| value.parse().expect("a number"))
}

#[tokio::test]
async fn metrics_are_told_on_a_listener_of_their_own_and_name_nobody() {
    let club = Club::open().await;
    let ada = a_member().named("Canaryada").of(&club).await;
    let (owner, app) = club.database.urls();
    let folder = folder();
    let socket = folder.path().join("metrics.sock");
    let at_socket = format!("unix:{}", socket.display());
    let mut server = Command::start(
        &[],
        &[
            ("MIGRATE_DATABASE_URL", owner.as_str()),
            ("DATABASE_URL", &app),
            ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
            ("MUSTWRIGHT_METRICS_LISTEN", &at_socket),
            ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
        ],
    );
    let line = server.says(METRICS).await.expect("it tells metrics");
    assert!(line.ends_with(&at_socket), "{line}");
    let line = server.says(SERVES).await.expect("it serves");
    let origin = line.rsplit(' ').next().expect("an address");
    let origin = origin.trim_end_matches('/').to_owned();
    let address = origin.trim_start_matches("http://").parse();
    let browser = Browser::new(address.expect("an address"), &origin, "");
    let watcher = Browser::through(socket.clone(), "http://localhost", "");

    assert_eq!(browser.sign_in(&ada.name, PASSWORD).await.status, 303);
    for _ in 0..3 {
        let page = browser.get("/recipes/canaryrecipe?canary=1").await;
        assert_eq!(page.status, 404);
    }
    let odd = reqwest::Method::from_bytes(b"CANARY").expect("a method");
    browser.send(browser.request(odd, "/canarypath")).await;
    assert_eq!(
        browser.get("/metrics").await.status,
        404,
        "members reach none"
    );
    for elsewhere in ["/", "/recipes", "/health/ready"] {
        assert_eq!(watcher.get(elsewhere).await.status, 404, "{elsewhere}");
    }
    let told = watcher.get("/metrics").await;
    assert_eq!(told.status, 200);
    let kind = told.header("content-type");
    assert!(kind.starts_with("application/openmetrics-text"), "{kind}");
    assert!(told.text.ends_with("# EOF\n"));
    assert!(
        !told.text.to_lowercase().contains("canary"),
        "{}",
        told.text
    );
    let by = |labels: &str| {
        let name = format!("mustwright_http_requests_total{{{labels}}}");
        sample(&told.text, &name)
    };
    let missed = r#"route="/recipes/{id}",method="GET",status="4xx""#;
    assert_eq!(by(missed), Some(3.0), "{}", told.text);
    let signed_in = r#"route="/sign-in",method="POST",status="3xx""#;
    assert_eq!(by(signed_in), Some(1.0), "{}", told.text);
    for (name, least, most) in [
        ("mustwright_http_request_duration_seconds_count", 5.0, 6.0),
        ("mustwright_http_connections_open", 1.0, 2.0),
        ("mustwright_pool_connections", 1.0, 64.0),
        ("mustwright_passwords_waiting", 0.0, 0.0),
        ("mustwright_throttled_requests_total", 0.0, 0.0),
        ("mustwright_repeated_forms_total", 0.0, 0.0),
        ("mustwright_database_up", 1.0, 1.0),
        ("mustwright_members", 1.0, 1.0),
        ("mustwright_recipes", 0.0, 0.0),
        ("mustwright_batches", 0.0, 0.0),
        ("process_resident_memory_bytes", 5e6, 500e6),
        ("process_open_fds", 5.0, 200.0),
        ("process_start_time_seconds", 1.7e9, 1e10),
    ] {
        let value = sample(&told.text, name);
        let fits = value.is_some_and(|value| (least..=most).contains(&value));
        assert!(fits, "{name} is {value:?} in {}", told.text);
    }
    let age = "mustwright_backup_age_seconds";
    assert_eq!(sample(&told.text, age), None, "there is no backup");
    let backup = "insert into backups (made_at, bytes) values (now() - interval '1 hour', 9)";
    let mut conn = club.database.owner().await;
    sqlx::query(backup)
        .execute(&mut conn)
        .await
        .expect("a backup");
    let told = watcher.get("/metrics").await;
    let age = sample(&told.text, age).expect("an age");
    assert!((3_600.0..3_700.0).contains(&age), "{age}");
    server.signal("TERM");
    assert_eq!(server.ends().await.code, Some(0));
    assert!(!socket.exists());
}

#[tokio::test]
async fn the_command_for_health_says_what_it_found() {
    let database = TestDatabase::make().await;
    let (owner, app) = database.urls();
    let port = quiet_port();
    let free = TcpListener::bind(("127.0.0.1", port)).expect("a port");
    let everywhere = format!("0.0.0.0:{port}");
    let settings = [
        ("MIGRATE_DATABASE_URL", owner.as_str()),
        ("DATABASE_URL", &app),
        ("MUSTWRIGHT_LISTEN", &everywhere),
        ("MUSTWRIGHT_BASE_URL", "https://mead.example/club"),
    ];
    let ask = || Command::start(&["healthcheck"], &settings).ends();
    for (answer, said) in [
        (
            "HTTP/1.1 503 Service Unavailable\r\n\r\n",
            "is not ready: it answers 503",
        ),
        ("SSH-2.0-x\r\n", "is no server of a club"),
    ] {
        let listener = free.try_clone().expect("a listener");
        let other = std::thread::spawn(move || {
            use std::io::{Read, Write};
            let (mut stream, _) = listener.accept().expect("a connection");
            let _ = stream.read(&mut [0; 512]);
            stream.write_all(answer.as_bytes()).expect("an answer");
        });
        let asked = ask().await;
        other.join().expect("an end");
        assert_eq!(asked.code, Some(1));
        assert!(asked.complained.contains(said), "{}", asked.complained);
        assert_eq!(asked.complained.lines().count(), 1);
    }
    drop(free);
    let asked = ask().await;
    assert_eq!(asked.code, Some(1));
    let said = format!("no answer at {everywhere}");
    assert!(asked.complained.contains(&said), "{}", asked.complained);
    let mut server = Command::start(&[], &settings);
    server.says("The data is in").await.expect("it serves");
    let asked = ask().await;
    assert_eq!(asked.code, Some(0), "{}", asked.complained);
    assert!(asked.said.contains("is ready"), "{}", asked.said);
    let bad = Command::start(&["healthcheck"], &[("MUSTWRIGHT_LISTEN", "8420")]);
    let bad = bad.ends().await;
    assert_eq!(bad.code, Some(2));
    assert!(
        bad.complained.contains("MUSTWRIGHT_LISTEN"),
        "{}",
        bad.complained
    );
    drop(server);
}
