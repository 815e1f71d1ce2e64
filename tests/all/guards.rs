//! What stands before and behind every route: refusals of forms from elsewhere, and the headers of whatever is answered.

use axum::Router;
use axum::routing::get;
use mustwright::app;
use mustwright::web::Error;
use mustwright::web::headers::CONTENT_POLICY;
use mustwright::web::listen::Limits;
use mustwright::web::paths::{Method, Route};
use mustwright::web::policy::Door;
use reqwest::RequestBuilder;

use crate::faults::listen_with;
use crate::routes::fingerprint;
use crate::support::{Browser, Club, Page, a_keeper, a_member};

const EVIL: &str = "https://evil.example";
/// What may be kept by whoever was shown it, for as long as its name stands for the same bytes.
const KEPT: [&str; 2] = [
    "public, max-age=31536000, immutable",
    "private, max-age=604800, immutable",
];

fn path_of(route: Route) -> String {
    route.with(&["aaaaaaaaaaaaaaaaaaaa"; 5])
}

fn method_of(route: Route) -> reqwest::Method {
    let name = format!("{:?}", route.method).to_uppercase();
    name.parse().expect("a method")
}

/// What every answer says, whatever it is.
fn has_the_headers(page: &Page, told: &str) {
    for (name, value) in [
        ("content-security-policy", CONTENT_POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
    ] {
        assert_eq!(page.header(name), value, "{name} of {told}");
    }
    let devices = page.header("permissions-policy");
    assert!(devices.contains("camera=()"), "{told}");
    assert!(!page.header("cache-control").is_empty(), "{told}");
    assert!(!page.header("x-request-id").is_empty(), "{told}");
    let foreign = page.headers.keys();
    let foreign: Vec<_> = foreign
        .filter(|name| name.as_str().starts_with("access-control-"))
        .collect();
    assert!(foreign.is_empty(), "{foreign:?} of {told}");
}

#[test]
fn the_content_policy_lets_nothing_in_but_our_own_files() {
    let parts: Vec<&str> = CONTENT_POLICY.split("; ").collect();
    assert!(parts.contains(&"default-src 'none'"));
    for part in &parts {
        let mut words = part.split(' ');
        let name = words.next().unwrap_or_default();
        for word in words {
            let wanted = match name {
                "require-trusted-types-for" => word == "'script'",
                _ => ["'self'", "'none'"].contains(&word),
            };
            assert!(wanted, "{part}");
        }
    }
    for shut in ["base-uri", "frame-ancestors", "object-src"] {
        assert!(parts.contains(&&*format!("{shut} 'none'")), "{shut}");
    }
    assert!(parts.contains(&"form-action 'self'"));
}

#[tokio::test]
async fn answers_of_every_kind_have_the_headers() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let (browser, stranger) = (club.browser_of(&ada).await, club.browser());
    let mut seen = std::collections::BTreeSet::new();
    for route in app::routes() {
        let path = path_of(route);
        let request = stranger.request(method_of(route), &path);
        let page = stranger.send(request.header("origin", EVIL)).await;
        has_the_headers(&page, &format!("{route:?}, from elsewhere"));
        seen.insert(page.status);
        if route.method == Method::Get && route.action.door() == Door::Members {
            let page = browser.get(&path).await;
            has_the_headers(&page, &format!("{route:?}"));
            let kept = page.header("cache-control");
            assert!(
                kept == "no-store" || KEPT.contains(&kept) || kept.starts_with("private, no-cache"),
                "{route:?}: {kept}"
            );
            seen.insert(page.status);
        }
    }
    let feed = browser.get("/feeds/recipes.atom").await;
    let tag = feed.header("etag").to_owned();
    let odd = |request: RequestBuilder| stranger.send(request);
    let get = |path: &str| stranger.request(reqwest::Method::GET, path);
    let pages = [
        odd(get("/feeds/recipes.atom").header("if-none-match", tag)).await,
        odd(get("/%00")).await,
        odd(get(&format!("/?{}", "x".repeat(9_000)))).await,
        odd(stranger
            .request(reqwest::Method::PATCH, "/")
            .header("origin", club.app.site.origin()))
        .await,
        odd(stranger.request(reqwest::Method::HEAD, "/")).await,
        stranger
            .post("/sign-in", &[("name", "Zed"), ("password", "none")])
            .await,
        stranger.post_bytes("/sign-in", vec![b'a'; 400_000]).await,
        browser.sign_in(&ada.name, &ada.password).await,
    ];
    for page in &pages {
        has_the_headers(page, &page.status.to_string());
        seen.insert(page.status);
    }
    for _ in 0..8 {
        let page = stranger.sign_in(&ada.name, "wrong").await;
        has_the_headers(&page, "a wrong password");
        seen.insert(page.status);
    }
    for status in broken(&club).await {
        seen.insert(status);
    }
    for status in [
        200, 303, 304, 400, 401, 403, 404, 405, 413, 422, 429, 500, 503,
    ] {
        assert!(seen.contains(&status), "{status} is not among {seen:?}");
    }
}

/// What is answered where a handler falls over, and where it cannot now.
async fn broken(club: &Club) -> Vec<u16> {
    async fn falls() -> &'static str {
        panic!("on purpose")
    }
    async fn cannot() -> Error {
        Error::busy(1)
    }
    let pages = Router::new()
        .route("/falls", get(falls))
        .route("/cannot", get(cannot));
    let router = app::dressed(pages, club.app.clone());
    let (address, _stop, _) = listen_with(router, Limits::default()).await;
    let browser = Browser::new(address, club.app.site.origin(), "");
    let mut seen = Vec::new();
    for path in ["/falls", "/cannot", "/health/live"] {
        let page = browser.get(path).await;
        has_the_headers(&page, path);
        seen.push(page.status);
    }
    seen
}

#[tokio::test]
async fn over_https_browsers_are_told_to_stay_with_it() {
    let settings = [("MUSTWRIGHT_BASE_URL", "https://mead.example")];
    let club = Club::with(&settings).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser();
    let in_page = browser.sign_in(&ada.name, &ada.password).await;
    let cookie = in_page.header("set-cookie");
    assert!(cookie.starts_with("__Host-mustwright="), "{cookie}");
    for mark in ["; Path=/;", "; HttpOnly", "; SameSite=Lax", "; Secure"] {
        assert!(cookie.contains(mark), "{mark}: {cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    for path in [
        "/",
        "/nowhere",
        "/health/live",
        "/feeds/recipes.atom",
        "/api/v1/recipes",
    ] {
        let page = club.browser().get(path).await;
        has_the_headers(&page, path);
        assert_eq!(
            page.header("strict-transport-security"),
            "max-age=31536000; includeSubDomains",
            "{path}"
        );
    }
}

#[tokio::test]
async fn a_form_from_a_page_without_encryption_is_from_elsewhere() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "https://mead.example")]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    for (origin, refused) in [
        ("http://mead.example", true),
        ("https://mead.example", false),
    ] {
        let request = browser.request(reqwest::Method::POST, "/sign-out");
        let request = request.header("host", "mead.example");
        let page = browser.send(request.header("origin", origin)).await;
        assert_eq!(page.status == 403, refused, "{origin}: {}", page.status);
    }
}

#[tokio::test]
async fn no_route_takes_a_form_from_elsewhere() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let browser = club.browser_of(&wren).await;
    let before = fingerprint(&club).await;
    let routes = app::routes().into_iter();
    let writing: Vec<Route> = routes.filter(|route| route.method != Method::Get).collect();
    assert!(writing.len() > 50);
    for route in writing {
        let is_api = route.path.starts_with("/api/");
        for headers in [
            &[("sec-fetch-site", "cross-site"), ("origin", EVIL)][..],
            &[
                ("sec-fetch-site", "same-site"),
                ("origin", "http://other.mead.example"),
            ],
            &[("origin", EVIL)],
            &[("origin", "null")],
            &[],
        ] {
            // A program tells neither, and no cookie counts for it.
            if is_api && headers.is_empty() {
                continue;
            }
            let request = browser.request(method_of(route), &path_of(route));
            let request = headers.iter().fold(request, |request, (name, value)| {
                request.header(*name, *value)
            });
            let page = browser.send(request.form(&[("name", "x")])).await;
            assert_eq!(page.status, 403, "{route:?} {headers:?}: {}", page.text);
        }
    }
    assert_eq!(fingerprint(&club).await, before);
}

#[tokio::test]
async fn a_method_in_a_header_or_a_field_is_none() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    for name in [
        "x-http-method-override",
        "x-http-method",
        "x-method-override",
    ] {
        let request = browser.request(reqwest::Method::GET, "/sign-out");
        assert_eq!(
            browser.send(request.header(name, "POST")).await.status,
            405,
            "{name}"
        );
    }
    let asked = browser.get("/sign-out?_method=POST").await;
    assert_eq!(asked.status, 405);
    assert_eq!(browser.get("/settings").await.status, 200);
}

#[tokio::test]
async fn a_sign_in_leads_nowhere_else() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser();
    let home = reqwest::Url::parse(club.app.site.origin()).expect("an address");
    for next in [
        "//evil.example",
        "///evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "https://evil.example/",
        "https:evil.example",
        "http:///evil.example",
        "javascript:alert(1)",
        "data:text/html,x",
        "/\tevil.example",
        "/\t/evil.example",
        "/\r\nLocation: https://evil.example",
        "/%09/evil.example",
        "/%2fevil.example",
        "/%5cevil.example",
        "/%252fevil.example",
        "/@evil.example",
        "@evil.example",
        ".evil.example",
        "evil.example",
        "/.//evil.example",
        "/..//evil.example",
        "/\u{2215}evil.example",
        "?next=//evil.example",
        "",
    ] {
        let fields = [
            ("name", &*ada.name),
            ("password", &*ada.password),
            ("next", next),
        ];
        let page = browser.post("/sign-in", &fields).await;
        assert_eq!(page.status, 303, "{next:?}: {}", page.text);
        let to = page.location().expect("a way on");
        let led = home.join(to).expect("an address");
        assert_eq!(
            (led.origin(), led.path()),
            (home.origin(), "/"),
            "{next:?} leads to {to}"
        );
    }
    let fields = [
        ("name", &*ada.name),
        ("password", &*ada.password),
        ("next", "/settings"),
    ];
    let page = browser.post("/sign-in", &fields).await;
    assert_eq!(page.location(), Some("/settings"));
}

#[tokio::test]
async fn what_an_address_asks_twice_is_refused_or_read_once() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    for path in [
        "/recipes?q=a&q=b",
        "/recipes?sort=new&sort=old",
        "/batches?shelf=a&shelf=b",
        "/settings?done=a&done=b",
        "/catalogue?q=a&q=b",
        "/recipes/new?starter=a&starter=b",
        "/pairings?honey=a&honey=b",
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, 400, "{path}");
        assert!(!page.heading().is_empty(), "{path}");
    }
    // What no page reads may come as often as it likes.
    assert_eq!(browser.get("/?x=a&x=b").await.status, 200);
}
