//! The program from the outside: start, refusals, one-time links, stop.

use sqlx::Executor;
use tokio::net::TcpStream;

use crate::support::{Browser, Command, PASSWORD, TestDatabase};

const SERVES: &str = "Mustwright serves";

/// Settings for a server on this database, owner and app apart, on a free port.
fn settings<'a>(owner: &'a str, app: &'a str) -> Vec<(&'static str, &'a str)> {
    vec![
        ("MIGRATE_DATABASE_URL", owner),
        ("DATABASE_URL", app),
        ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
    ]
}

/// The origin in a line that ends with an address.
fn origin_in(line: &str) -> String {
    let at = line.find("http://").expect("an address");
    line[at..].split('/').take(3).collect::<Vec<_>>().join("/")
}

fn browser_at(origin: &str) -> Browser {
    let address = origin
        .trim_start_matches("http://")
        .parse()
        .expect("an address");
    Browser::new(address, origin, "")
}

/// The path of the one-time link at the end of a line.
fn path_in(line: &str) -> String {
    let link = line.rsplit(' ').next().expect("a link");
    format!("/{}", link.splitn(4, '/').nth(3).expect("a path"))
}

#[tokio::test]
async fn the_link_printed_at_the_start_sets_up_the_keeper_and_is_not_printed_again() {
    let database = TestDatabase::empty().await;
    let (owner, app) = database.urls();
    let mut server = Command::start(&[], &settings(&owner, &app));
    let origin = origin_in(&server.says(SERVES).await.expect("it serves"));
    let data = server
        .says("The data is in")
        .await
        .expect("it says where the data is");
    assert!(data.contains("the database mw_"), "{data}");
    let line = server
        .says("Set up the keeper")
        .await
        .expect("it prints the link");
    let browser = browser_at(&origin);
    let page = browser.get(&path_in(&line)).await;
    let labelled = [
        ("Your name", "Wren"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
    ];
    assert_eq!(browser.submit(&page, "Set up", &labelled).await.status, 303);
    server.signal("TERM");
    let ended = server.ends().await;
    assert_eq!(ended.code, Some(0), "{}", ended.complained);

    let mut again = Command::start(&["serve"], &settings(&owner, &app));
    again.says("The data is in").await.expect("it serves again");
    again.signal("INT");
    let ended = again.ends().await;
    assert_eq!(ended.code, Some(0));
    assert!(!ended.said.contains("Set up the keeper"), "{}", ended.said);

    let link = Command::start(&["keeper-link"], &settings(&owner, &app))
        .ends()
        .await;
    assert!(
        link.said.contains("A new password for Wren") && link.said.contains("/new-password/"),
        "{}",
        link.said
    );
    let nobody = Command::start(
        &["keeper-link", "--name", "Nobody"],
        &settings(&owner, &app),
    )
    .ends()
    .await;
    assert_eq!(nobody.code, Some(1));
    assert!(
        nobody.complained.contains("no keeper has this name"),
        "{}",
        nobody.complained
    );
}

#[tokio::test]
async fn two_servers_starting_at_once_both_serve() {
    let database = TestDatabase::empty().await;
    let (owner, app) = database.urls();
    let mut servers = [
        Command::start(&[], &settings(&owner, &app)),
        Command::start(&[], &settings(&owner, &app)),
    ];
    for server in &mut servers {
        let origin = origin_in(&server.says(SERVES).await.expect("it serves"));
        assert_eq!(browser_at(&origin).get("/health/ready").await.status, 200);
    }
    let mut conn = database.owner().await;
    let (rows, versions): (i64, i64) = sqlx::query_as(
        "select count(*), count(distinct version) from _sqlx_migrations where success",
    )
    .fetch_one(&mut conn)
    .await
    .unwrap();
    assert_eq!(rows, versions);
    assert_eq!(
        rows as usize,
        mustwright::database::MIGRATIONS.iter().count()
    );
}

#[tokio::test]
async fn one_role_may_do_both() {
    let database = TestDatabase::empty().await;
    let (owner, _) = database.urls();
    let mut server = Command::start(
        &[],
        &[
            ("DATABASE_URL", &owner),
            ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
        ],
    );
    let origin = origin_in(&server.says(SERVES).await.expect("it serves"));
    assert_eq!(browser_at(&origin).get("/health/ready").await.status, 200);
}

#[tokio::test]
async fn a_newer_or_changed_schema_is_refused() {
    let database = TestDatabase::make().await;
    let (owner, app) = database.urls();
    let mut conn = database.owner().await;
    conn.execute("update _sqlx_migrations set checksum = '\\x00' where version = (select min(version) from _sqlx_migrations)")
        .await
        .unwrap();
    let changed = Command::start(&[], &settings(&owner, &app)).ends().await;
    assert_eq!(changed.code, Some(1));
    assert!(
        changed
            .complained
            .contains("is not the one that made this database"),
        "{}",
        changed.complained
    );
    conn.execute(
        "insert into _sqlx_migrations (version, description, success, checksum, execution_time)
         values (99990101000000, 'later', true, '', 0)",
    )
    .await
    .unwrap();
    for command in [&["serve"][..], &["migrate"], &["keeper-link"]] {
        let newer = Command::start(command, &settings(&owner, &app))
            .ends()
            .await;
        assert_eq!(newer.code, Some(1), "{command:?}");
        assert!(
            newer.complained.contains("newer Mustwright"),
            "{}",
            newer.complained
        );
        assert_eq!(
            newer.complained.lines().count(),
            1,
            "one clear line: {}",
            newer.complained
        );
    }
}

#[tokio::test]
async fn a_database_that_is_not_there_yet_is_waited_for() {
    let nowhere = "postgres://mustwright_app@127.0.0.1:1/club";
    let mut server = Command::start(
        &[],
        &[
            ("DATABASE_URL", nowhere),
            ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
        ],
    );
    for _ in 0..2 {
        server
            .says("the database is not there yet")
            .await
            .expect("it tries again");
    }
    let database = TestDatabase::make().await;
    let (owner, _) = database.urls();
    let wrong = owner.replace("mustwright_owner", "nobody_of_this_name");
    let refused = Command::start(
        &[],
        &[
            ("DATABASE_URL", &wrong),
            ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
        ],
    )
    .ends()
    .await;
    assert_eq!(
        refused.code,
        Some(1),
        "what waiting does not mend ends at once"
    );
    assert!(
        refused.complained.contains("cannot be reached"),
        "{}",
        refused.complained
    );
}

#[tokio::test]
async fn a_database_that_never_comes_is_waited_for_a_minute() {
    let ended = Command::start(
        &[],
        &[
            ("DATABASE_URL", "postgres://mustwright_app@127.0.0.1:1/club"),
            ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
        ],
    )
    .ends()
    .await;
    assert_eq!(ended.code, Some(1));
    assert!(
        ended.complained.contains("cannot be reached"),
        "{}",
        ended.complained
    );
    let tries = ended.said.matches("the database is not there yet").count();
    // Their pauses, which grow from half a second to eight, make up the minute.
    assert!((8..=10).contains(&tries), "{}", ended.said);
}

#[tokio::test]
async fn bad_settings_end_with_their_name_and_unknown_ones_are_noticed() {
    let bad = Command::start(&[], &[("MUSTWRIGHT_BASE_URL", "mead.example")])
        .ends()
        .await;
    assert_eq!(bad.code, Some(2));
    assert!(
        bad.complained
            .contains("MUSTWRIGHT_BASE_URL: wants an address"),
        "{}",
        bad.complained
    );
    let database = TestDatabase::make().await;
    let (owner, _) = database.urls();
    let noticed = Command::start(
        &["migrate"],
        &[("DATABASE_URL", &owner), ("MUSTWRIGHT_LISTN", "x")],
    )
    .ends()
    .await;
    assert_eq!(noticed.code, Some(0), "{}", noticed.complained);
    assert!(
        noticed.said.contains("MUSTWRIGHT_LISTN is no setting"),
        "{}",
        noticed.said
    );
    let printed = Command::start(
        &["--print-config"],
        &[("DATABASE_URL", "postgres://a:hush@h/d")],
    )
    .ends()
    .await;
    assert!(
        printed.said.contains("DATABASE_URL=(set)") && !printed.said.contains("hush"),
        "{}",
        printed.said
    );
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let refused = Command::start(
        &[],
        &[("DATABASE_URL", &owner), ("MUSTWRIGHT_LISTEN", &address)],
    )
    .ends()
    .await;
    assert_eq!(refused.code, Some(1));
    assert!(
        refused
            .complained
            .contains(&format!("cannot listen on {address}")),
        "{}",
        refused.complained
    );
}

#[tokio::test]
async fn a_second_signal_ends_at_once() {
    let database = TestDatabase::make().await;
    let (owner, app) = database.urls();
    let mut server = Command::start(&[], &settings(&owner, &app));
    let origin = origin_in(&server.says(SERVES).await.expect("it serves"));
    // Half a head: a connection that the server waits for while it drains.
    let half = TcpStream::connect(origin.trim_start_matches("http://"))
        .await
        .unwrap();
    half.writable().await.unwrap();
    half.try_write(b"GET / HTTP/1.1\r\nHost: x\r\n").unwrap();
    browser_at(&origin).get("/health/live").await;
    server.signal("TERM");
    server
        .says("stopping")
        .await
        .expect("it says that it stops");
    server.signal("TERM");
    assert_eq!(server.ends().await.code, Some(130));
}

#[tokio::test]
async fn nothing_secret_is_logged() {
    let database = TestDatabase::empty().await;
    let (owner, app) = database.urls();
    // A password under a mistyped name.
    let sign = if app.contains('?') { '&' } else { '?' };
    let app = format!("{app}{sign}pasword=canaryparameter");
    let mut given = settings(&owner, &app);
    given.extend([
        ("MUSTWRIGHT_LOG", "debug"),
        ("MUSTWRIGHT_LOG_FORMAT", "text"),
        ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
    ]);
    let mut server = Command::start(&[], &given);
    let origin = origin_in(&server.says(SERVES).await.expect("it serves"));
    let link = path_in(&server.says("Set up the keeper").await.expect("the link"));
    let browser = browser_at(&origin);
    let page = browser.get(&link).await;
    let name = "Wren\u{1b}[31m\r\nCanaryname";
    browser.sign_in(name, "canary password of nobody").await;
    let labelled = [
        ("Your name", "Wren"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
    ];
    browser.submit(&page, "Set up", &labelled).await;
    browser.get("/settings?canaryquery=1").await;
    browser.post("/settings", &[("zone", "canaryzone")]).await;
    let token = browser
        .cookie_line()
        .trim_start_matches("mustwright=")
        .to_owned();
    assert_eq!(token.len(), 52);
    let page = browser.get("/settings/tokens").await;
    let mut tokens = Vec::new();
    for kind in ["read", "feed"] {
        let fields = [("Name", "canary clock"), ("Your password", PASSWORD)];
        let (_, mut sent) = page.filled("Make the token", &fields);
        sent.retain(|(name, _)| name != "opens" && name != "once");
        sent.push(("opens".to_owned(), kind.to_owned()));
        let once = browser.get("/settings/tokens").await.hidden("once");
        sent.push(("once".to_owned(), once.expect("a key")));
        let sent: Vec<(&str, &str)> = sent.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        let made = browser.post("/settings/tokens", &sent).await;
        tokens.push(made.words_of("p.code").expect("a token"));
    }
    let feed = tokens[1].rsplit('/').next().expect("a file").to_owned();
    assert_eq!(browser.get(&format!("/feeds/{feed}")).await.status, 200);
    let request = browser.request(reqwest::Method::GET, "/api/v1/recipes");
    let page = browser.send(request.bearer_auth(&tokens[0])).await;
    assert_eq!(page.status, 200, "{}", page.text);
    server.signal("TERM");
    let ended = server.ends().await;
    assert!(
        ended.said.contains("the first keeper is set up") && ended.said.contains("sign-in failed"),
        "the log is there"
    );
    let log: Vec<&str> = ended
        .said
        .lines()
        .filter(|line| !line.starts_with("Set up the keeper"))
        .collect();
    let one_time = link.rsplit('/').next().unwrap();
    for secret in [
        "canary",
        "Canaryname",
        PASSWORD,
        &token,
        one_time,
        &tokens[0],
        feed.trim_end_matches(".atom"),
        "argon2id",
        "\u{1b}[",
    ] {
        let found: Vec<_> = log.iter().filter(|line| line.contains(secret)).collect();
        assert!(found.is_empty(), "{secret:?} is in {found:?}");
    }
}
