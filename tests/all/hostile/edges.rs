//! Fields that no form has, hosts that are not ours, and addresses that a crawler tries (B22, B31, B35).

use crate::support::{Browser, Club, a_member};

const EVIL: &str = "evil.example";

async fn with_hosts(browser: &Browser, path: &str) -> crate::support::Page {
    let request = browser.request(reqwest::Method::GET, path);
    let request = request
        .header("x-forwarded-host", EVIL)
        .header("x-forwarded-proto", "https")
        .header("x-original-url", "/keeper/members")
        .header("x-rewrite-url", "/keeper/members")
        .header("forwarded", "host=evil.example;proto=https");
    browser.send(request).await
}

#[tokio::test]
async fn the_address_of_the_club_is_the_one_it_is_told_and_no_other() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "http://mead.example")]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    for path in [
        "/",
        "/settings",
        "/recipes",
        "/feeds/recipes.atom",
        "/api/v1/openapi.json",
        "/nowhere",
    ] {
        for browser in [&browser, &club.browser()] {
            let page = with_hosts(browser, path).await;
            let plain = browser.get(path).await;
            assert_eq!(page.status, plain.status, "{path}");
            assert!(!page.text.contains(EVIL), "{path}");
            assert_eq!(page.location(), plain.location(), "{path}");
        }
    }
    let request = browser
        .request(reqwest::Method::GET, "/settings")
        .header("host", EVIL);
    assert!(!browser.send(request).await.text.contains(EVIL));
}

#[tokio::test]
async fn a_page_under_the_name_of_a_file_is_none_and_is_kept_by_nobody() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    for path in [
        "/settings/x.css",
        "/settings/tokens/x.js",
        "/settings;x.css",
        "/settings%2fx.css",
        "/settings.css",
        "/recipes/x.png",
        "/api/v1/recipes/x.json",
    ] {
        let page = browser.get(path).await;
        assert!([401, 404].contains(&page.status), "{path}: {}", page.status);
        assert_eq!(page.header("cache-control"), "no-store", "{path}");
    }
    for path in [
        "/settings",
        "/settings/tokens",
        "/recipes",
        "/api/v1/recipes",
    ] {
        assert_eq!(
            browser.get(path).await.header("cache-control"),
            "no-store",
            "{path}"
        );
    }
}

#[tokio::test]
async fn nothing_is_told_of_the_server_to_whoever_asks() {
    let club = Club::open().await;
    let browser = club.browser();
    for path in [
        "/metrics",
        "/version",
        "/debug",
        "/server-status",
        "/.env",
        "/.git/config",
        "/api",
        "/api/v1",
        "/health",
        "/static/",
        "/static/../Cargo.toml",
        "/feeds/",
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, 404, "{path}");
        let version = env!("CARGO_PKG_VERSION");
        assert!(!page.text.contains(version), "{path}");
    }
    for path in ["/", "/health/live", "/health/ready", "/nowhere"] {
        let page = browser.get(path).await;
        for name in ["server", "x-powered-by", "via"] {
            assert_eq!(page.header(name), "", "{name} of {path}");
        }
    }
}

#[tokio::test]
async fn fields_that_no_form_has_change_nothing() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let bert = a_member().named("Bert").of(&club).await;
    let browser = club.browser_of(&ada).await;
    let form = browser.get("/recipes/new").await;
    let (_, fields) = form.filled("Save as revision 1", &[("Name", "Whitsun")]);
    let mut fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let id = bert.id.0.to_string();
    fields.extend([
        ("owner", id.as_str()),
        ("owner_id", id.as_str()),
        ("author_id", id.as_str()),
        ("public_id", "aaaaaaaaaaaaaaaaaaaa"),
        ("version", "7"),
        ("rating_mean", "5"),
        ("rating_count", "100"),
        ("binned_at", "2020-01-01"),
    ]);
    let done = browser.post("/recipes/new", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (owner, version, ratings): (i64, i32, i32) =
        sqlx::query_as("select owner_id, version, rating_count from recipes")
            .fetch_one(club.pool())
            .await
            .expect("a recipe");
    assert_eq!((owner, version, ratings), (ada.id.0, 1, 0));
    assert!(
        !done
            .location()
            .is_some_and(|to| to.contains("aaaaaaaaaaaaaaaaaaaa"))
    );
}
