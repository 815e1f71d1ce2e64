//! The log as somebody reads it who looks for what happened: which events are lines of it, and what never is.

use std::collections::BTreeSet;

use mustwright::app;
use mustwright::web::grant::Grant;
use mustwright::web::paths::Method;
use mustwright::web::viewer::Role;
use serde_json::Value;
use sqlx::Executor;

use crate::competitions::building::a_competition;
use crate::support::{Browser, Club, Command, Going, PASSWORD, Page, a_keeper, a_member};

const SERVES: &str = "Mustwright serves";

/// The program on the database of a club, and a browser at it.
async fn started(club: &Club, settings: &[(&str, &str)]) -> (Going, String) {
    let (owner, app) = club.database.urls();
    let mut given = vec![
        ("MIGRATE_DATABASE_URL", owner.as_str()),
        ("DATABASE_URL", &app),
        ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
        ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
    ];
    given.extend(settings);
    let mut server = Command::start(&[], &given);
    let line = server.says(SERVES).await.expect("it serves");
    let at = line.find("http://").expect("an address");
    let origin = line[at..].split(['/', '"']).take(3).collect::<Vec<_>>();
    (server.goes_on(), origin.join("/"))
}

fn browser_at(origin: &str) -> Browser {
    let address = origin.trim_start_matches("http://").parse();
    Browser::new(address.expect("an address"), origin, "")
}

fn text<'a>(line: &'a Value, key: &str) -> &'a str {
    line[key].as_str().unwrap_or_default()
}

#[tokio::test]
async fn each_event_that_matters_is_a_line_that_leads_to_its_request() {
    let club = Club::open().await;
    let keeper = a_keeper().of(&club).await;
    let ada = a_member().of(&club).await;
    let orla = a_member()
        .named("Orla")
        .being(Role::Organiser)
        .of(&club)
        .await;
    let competition = a_competition().of(&club, &orla).await;
    let token = club.token_of(&ada, Grant::Read).await;
    let settings = [
        ("MUSTWRIGHT_LOG_FORMAT", "json"),
        ("MUSTWRIGHT_API_PER_MINUTE", "1"),
    ];
    let (server, origin) = started(&club, &settings).await;
    let (stranger, member) = (browser_at(&origin), browser_at(&origin));
    let (keeps, organises) = (browser_at(&origin), browser_at(&origin));
    // What happens, who does it, and what the log says of it.
    let mut happened: Vec<(&str, i64, Page)> = Vec::new();

    let page = stranger.sign_in(&ada.name, "not the right one").await;
    happened.push(("sign-in failed", ada.id.0, page));
    let page = loop {
        // Five tries are free; on a slow machine the wait after the sixth may be over before the seventh.
        let page = stranger.sign_in("Nobody", "not the right one").await;
        if page.status == 429 {
            break page;
        }
    };
    happened.push(("sign-in slowed down", 0, page));
    let page = member.sign_in(&ada.name, PASSWORD).await;
    happened.push(("signed in", ada.id.0, page));
    let page = member.get("/keeper").await;
    happened.push(("denied", ada.id.0, page));

    let post = |path: &str| {
        member
            .request(reqwest::Method::POST, path)
            .form(&[("a", "b")])
    };
    let foreign = post("/settings").header("origin", "https://evil.example");
    let page = member.send(foreign).await;
    happened.push(("a form from another site was refused", 0, page));
    let page = member.send(post("/settings")).await;
    let said = "a form that tells nothing of its origin was refused";
    happened.push((said, 0, page));

    let program = browser_at(&origin);
    let read = || {
        program
            .request(reqwest::Method::GET, "/api/v1/recipes")
            .bearer_auth(&token)
    };
    assert_eq!(program.send(read()).await.status, 200);
    let page = program.send(read()).await;
    happened.push(("a token was used too often", ada.id.0, page));
    keeps.sign_in(&keeper.name, PASSWORD).await;
    let roll = keeps.get("/keeper/members").await;
    let whose: String = sqlx::query_scalar("select public_id from members where id = $1")
        .bind(ada.id.0)
        .fetch_one(club.pool())
        .await
        .expect("an id");
    assert!(roll.text.contains(&whose), "{}", roll.text);
    let path = format!("/keeper/members/{whose}/role");
    let page = keeps.post(&path, &[("role", "organiser")]).await;
    happened.push(("role", keeper.id.0, page));
    let export = member.get("/settings/export").await;
    let page = member.submit(&export, "Download my things", &[]).await;
    happened.push(("exported", ada.id.0, page));

    organises.sign_in(&orla.name, PASSWORD).await;
    let stands = organises.get(&format!("{}/phase", competition.path)).await;
    let page = organises.submit(&stands, "Close it for entries", &[]).await;
    happened.push(("phase changed", orla.id.0, page));

    let mut owner = club.database.owner().await;
    owner
        .execute("alter table vessels rename to away")
        .await
        .expect("a fault");
    let page = member.get("/vessels").await;
    assert_eq!(page.status, 500, "{}", page.text);
    happened.push(("answered", ada.id.0, page));

    let ended = server.stop().await;
    let lines: Vec<Value> = ended
        .said
        .lines()
        .map(|line| serde_json::from_str(line).unwrap_or_else(|_| panic!("no JSON: {line}")))
        .collect();
    for line in &lines {
        assert!(text(line, "timestamp").ends_with('Z'), "{line}");
        assert!(
            !text(line, "level").is_empty() && !text(line, "message").is_empty(),
            "{line}"
        );
    }
    for (said, who, page) in &happened {
        let reference = page.header("x-request-id");
        assert_eq!(reference.len(), 12, "{said}");
        let of_request: Vec<&Value> = lines
            .iter()
            .filter(|line| {
                text(line, "reference") == reference
                    || text(&line["span"], "reference") == reference
            })
            .collect();
        let event = of_request
            .iter()
            .find(|line| text(line, "message") == *said);
        let event = event.unwrap_or_else(|| panic!("no “{said}” among {of_request:#?}"));
        if *who != 0 {
            assert_eq!(event["member"], *who, "{event}");
        }
        let answered = of_request
            .iter()
            .find(|line| text(line, "message") == "answered");
        let answered = answered.unwrap_or_else(|| panic!("no answer among {of_request:#?}"));
        assert_eq!(answered["status"], page.status, "{said}");
        assert!(
            !text(answered, "route").is_empty() && answered["ms"].is_u64(),
            "{answered}"
        );
        let level = if page.status >= 500 { "ERROR" } else { "INFO" };
        assert_eq!(text(answered, "level"), level, "{answered}");
    }
    assert!(
        lines
            .iter()
            .any(|line| text(line, "cause").contains("vessels")),
        "the cause of a fault stands in the log"
    );
}

/// The names of fields that any form is read by: what stands as a name in a call, which is more than all of them.
fn field_names() -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let mut folders = vec![std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = String::from_utf8_lossy(&std::fs::read(path).expect("a file")).into_owned();
            for rest in text.split("(\"").skip(1) {
                let name = rest.split('"').next().unwrap_or_default();
                let plain = |b: u8| b.is_ascii_lowercase() || b == b'_';
                if (2..=30).contains(&name.len()) && name.bytes().all(plain) {
                    names.insert(name.to_owned());
                }
            }
        }
    }
    names
}

#[tokio::test]
async fn nothing_that_anybody_sends_to_any_route_is_logged() {
    let club = Club::open().await;
    let keeper = a_keeper().named("Canarykeeper").of(&club).await;
    let token = club.token_of(&keeper, Grant::Write).await;
    let settings = [
        ("MUSTWRIGHT_LOG", "debug"),
        ("MUSTWRIGHT_API_PER_MINUTE", "100000"),
    ];
    let (server, origin) = started(&club, &settings).await;
    let browser = browser_at(&origin);
    assert_eq!(browser.sign_in(&keeper.name, PASSWORD).await.status, 303);
    let cookie = browser.cookie_line();
    let session = cookie.split('=').nth(1).expect("a cookie").to_owned();
    // A name that would draw over the log, and words that stand nowhere else.
    let canary = "canary\u{1b}[31m\r\nFORGED line\u{9b}2J";
    let names = field_names();
    assert!((300..1_900).contains(&names.len()), "{}", names.len());
    let mut form: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), canary)).collect();
    form.retain(|(name, _)| *name != "once");
    let once = format!("{}.canaryonce", "a".repeat(20));
    form.push(("once", &once));
    let stranger = browser_at(&origin);
    let mut posted = 0;
    let mut routes = app::routes();
    // The token first: one of the forms ends it.
    routes.sort_by_key(|route| !route.path.starts_with("/api/"));
    for route in routes {
        let values = ["canaryid", "canaryother", "canarythird", "canaryfourth"];
        let path = format!("{}?canaryquery=canary", route.with(&values));
        // Signing out would end what the others need.
        if route.path == "/sign-out" || route.path == "/settings/leave" {
            continue;
        }
        let is_api = route.path.starts_with("/api/");
        let method = match route.method {
            Method::Get => reqwest::Method::GET,
            Method::Post => reqwest::Method::POST,
            Method::Put => reqwest::Method::PUT,
            Method::Delete => reqwest::Method::DELETE,
        };
        let request = browser.request(method.clone(), &path);
        let request = match (is_api, method == reqwest::Method::GET) {
            (true, true) => request.bearer_auth(&token),
            (true, false) => request
                .bearer_auth(&token)
                .header("content-type", "application/json")
                .body(r#"{"canarykey": "canaryvalue", "title": ["canary"]}"#),
            (false, true) => request.header("user-agent", "canaryagent"),
            (false, false) => request.header("origin", &origin).form(&form),
        };
        let page = browser.send(request).await;
        assert!(
            page.status < 500,
            "{} {}: {}",
            route.path,
            page.status,
            page.text
        );
        posted += 1;
        if is_api {
            let request = stranger.request(method.clone(), &path);
            stranger.send(request.bearer_auth("canarytoken")).await;
        }
        if route.method == Method::Post && !is_api && posted % 8 == 0 {
            let request = stranger.request(method, &path).header("origin", &origin);
            let request = request.header("cookie", "mustwright=canarycookie");
            stranger.send(request.form(&form)).await;
        }
    }
    assert!(posted > 200, "{posted}");
    let ended = server.stop().await;
    let log: Vec<&str> = ended.said.lines().collect();
    assert!(
        log.len() > posted,
        "a line for each request and more: {}",
        log.len()
    );
    for secret in [
        "canary", "Canary", "FORGED", PASSWORD, &session, &token, "\u{1b}", "\u{9b}",
    ] {
        let found: Vec<_> = log.iter().filter(|line| line.contains(secret)).collect();
        assert!(found.is_empty(), "{secret:?} is in {found:#?}");
    }
    assert!(!ended.complained.contains("canary"), "{}", ended.complained);
}
