//! Every route of the table, walked as a stranger, as a member, as an organiser and as a keeper.

use mustwright::api;
use mustwright::app;
use mustwright::web::headers::CONTENT_POLICY;
use mustwright::web::paths::{Method, Route};
use mustwright::web::policy::Door;
use mustwright::web::viewer::Role;
use sqlx::{AssertSqlSafe, Row};

use crate::support::{Browser, Club, Page, a_keeper, a_member};

/// A path of the route with values that belong to nothing.
fn path_of(route: Route) -> String {
    route.with(&["aaaaaaaaaaaaaaaaaaaa"; 5])
}

async fn walk(browser: &Browser, route: Route) -> Page {
    match route.method {
        Method::Get => browser.get(&path_of(route)).await,
        Method::Post => browser.post(&path_of(route), &[]).await,
        Method::Put => send(browser, "PUT", route).await,
        Method::Delete => send(browser, "DELETE", route).await,
    }
}

async fn send(browser: &Browser, method: &str, route: Route) -> Page {
    let method = method.parse().expect("a method");
    browser.send(browser.request(method, &path_of(route))).await
}

fn asks_to_sign_in(page: &Page) -> bool {
    page.status == 401
        || page
            .location()
            .is_some_and(|to| to.starts_with("/sign-in?next="))
}

#[tokio::test]
async fn each_door_opens_for_those_it_is_for() {
    let club = Club::open().await;
    let (ada, wren) = (a_member().of(&club).await, a_keeper().of(&club).await);
    let orla = a_member().named("Orla").being(Role::Organiser);
    let orla = orla.of(&club).await;
    assert!(
        app::routes().len() >= 14,
        "the table is walked, not an empty list"
    );
    let mut comers = Vec::new();
    for (person, role) in [
        (None, None),
        (Some(&ada), Some(Role::Member)),
        (Some(&orla), Some(Role::Organiser)),
        (Some(&wren), Some(Role::Keeper)),
    ] {
        let browser = match person {
            Some(person) => club.browser_of(person).await,
            None => club.browser(),
        };
        comers.push((person, role, browser));
    }
    for route in app::routes() {
        for (person, role, browser) in &mut comers {
            let (person, role) = (*person, *role);
            let page = walk(browser, route).await;
            // One route signs out, another ends sessions: the next one is met signed in again.
            if let Some(person) = person
                && route.method != Method::Get
                && browser.get("/settings").await.status != 200
            {
                *browser = club.browser_of(person).await;
            }
            let told = format!(
                "{route:?} as {:?}: {} {}",
                person.map(|person| &person.name),
                page.status,
                page.text
            );
            assert!(page.status < 500, "{told}");
            let may_enter = match route.action.door() {
                Door::Open => true,
                Door::Members => role.is_some(),
                Door::Organisers => matches!(role, Some(Role::Organiser | Role::Keeper)),
                Door::Keepers => role == Some(Role::Keeper),
            };
            match (may_enter, person) {
                // A sensor's own token opens it: no member's, and nobody's.
                _ if api::paths::OF_SENSORS.contains(&route) => {
                    assert_eq!(page.status, 401, "{told}");
                    assert_eq!(page.header("content-type"), "application/problem+json");
                }
                // A cookie opens nothing of what is for programs; `tokens` walks that with tokens.
                (_, Some(_))
                    if route.path.starts_with("/api/") && route.action.door() != Door::Open =>
                {
                    assert_eq!(page.status, 401, "{told}");
                    assert_eq!(page.header("content-type"), "application/problem+json");
                    assert!(
                        page.header("www-authenticate").starts_with("Bearer"),
                        "{told}"
                    );
                }
                (true, _) => assert!(!asks_to_sign_in(&page), "{told}"),
                (false, None) => assert!(asks_to_sign_in(&page), "{told}"),
                (false, Some(_)) => assert_eq!(page.status, 404, "{told}"),
            }
        }
    }
}

#[tokio::test]
async fn every_answer_has_the_headers() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let home = browser.get("/").await;
    let css = home
        .text
        .split('"')
        .find(|text| text.starts_with("/static/app."))
        .expect("a stylesheet")
        .to_owned();
    let paths = app::routes()
        .into_iter()
        .filter(|route| route.method == Method::Get)
        .map(path_of);
    let others = ["/nothing/here", "/static/none", "/health/live", &css].map(str::to_owned);
    for path in paths.chain(others) {
        let page = browser.get(&path).await;
        for (name, value) in [
            ("content-security-policy", CONTENT_POLICY),
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "same-origin"),
            ("cross-origin-opener-policy", "same-origin"),
            ("cross-origin-resource-policy", "same-origin"),
        ] {
            assert_eq!(page.header(name), value, "{name} of {path}");
        }
        assert!(!page.header("cache-control").is_empty(), "{path}");
        assert!(!page.header("x-request-id").is_empty(), "{path}");
        assert!(
            page.headers.get("access-control-allow-origin").is_none(),
            "{path}"
        );
        assert_eq!(page.header("strict-transport-security"), "", "over http");
        if page.status != 303 {
            let kind = page.header("content-type");
            assert!(
                kind.contains("charset=utf-8")
                    || kind == "application/problem+json"
                    || path.ends_with("live"),
                "{path}"
            );
        }
    }
    assert_eq!(
        browser.get(&css).await.header("cache-control"),
        "public, max-age=31536000, immutable"
    );
}

#[tokio::test]
async fn other_methods_are_refused_with_what_is_allowed() {
    let club = Club::open().await;
    let browser = club.browser();
    for route in app::routes() {
        let path = path_of(route);
        for method in ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS"] {
            let is_taken = |other: &Route| {
                other.path == route.path && format!("{:?}", other.method).to_uppercase() == method
            };
            if app::routes().iter().any(is_taken) {
                continue;
            }
            let request = browser
                .request(method.parse().unwrap(), &path)
                .header("origin", club.app.site.origin());
            let page = browser.send(request).await;
            assert_eq!(page.status, 405, "{method} {path}");
            assert!(!page.header("allow").is_empty(), "{method} {path}");
            match path.starts_with("/api/") {
                true => assert_eq!(page.header("content-type"), "application/problem+json"),
                false => assert_eq!(page.heading(), "Not in this way"),
            }
        }
    }
}

pub async fn fingerprint(club: &Club) -> Vec<String> {
    let mut owner = club.database.owner().await;
    let tables: Vec<String> = sqlx::query_scalar(
        "select tablename::text from pg_tables where schemaname = 'public' order by 1",
    )
    .fetch_all(&mut owner)
    .await
    .unwrap();
    let mut prints = Vec::new();
    for table in tables {
        let sql = format!(
            "select count(*) || ' ' || coalesce(md5(string_agg(t::text, '|' order by t::text)), '') from {table} t"
        );
        let row = sqlx::query(AssertSqlSafe(sql))
            .fetch_one(&mut owner)
            .await
            .unwrap();
        prints.push(format!("{table} {}", row.get::<String, _>(0)));
    }
    prints
}

#[tokio::test]
async fn reading_changes_nothing() {
    let club = Club::open().await;
    let browsers = [
        club.browser(),
        club.browser_of(&a_member().of(&club).await).await,
        club.browser_of(&a_keeper().of(&club).await).await,
    ];
    let before = fingerprint(&club).await;
    for _ in 0..2 {
        for browser in &browsers {
            for route in app::routes()
                .into_iter()
                .filter(|route| route.method == Method::Get)
            {
                browser.get(&path_of(route)).await;
            }
        }
    }
    assert_eq!(fingerprint(&club).await, before);
}

#[tokio::test]
async fn everything_lives_under_the_path_of_the_base_url() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "http://mead.example/club")]).await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    for route in app::routes()
        .into_iter()
        .filter(|route| route.method == Method::Get)
    {
        let page = browser.get(&path_of(route)).await;
        assert!(page.status < 500, "{route:?}");
        assert!(
            page.location().is_none_or(|to| to.starts_with("/club/")),
            "{route:?} leads to {:?}",
            page.location()
        );
        for attribute in ["href=\"/", "action=\"/", "src=\"/"] {
            let outside = page
                .text
                .split(attribute)
                .skip(1)
                .find(|rest| !rest.starts_with("club/"));
            assert_eq!(
                outside.map(|rest| &rest[..40.min(rest.len())]),
                None,
                "{route:?} has {attribute}"
            );
        }
    }
    let outside = Browser::new(club.address, club.app.site.origin(), "");
    assert_eq!(outside.get("/settings").await.status, 404);
    for health in ["/club/health/ready", "/health/ready", "/health/live"] {
        assert_eq!(outside.get(health).await.status, 200, "{health}");
    }
}
