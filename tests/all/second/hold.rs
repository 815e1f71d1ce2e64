//! Of whom a second step is demanded, they set one up before anything else.

use mustwright::app;
use mustwright::members::links::store::make_link;
use mustwright::members::second::store;
use mustwright::web::grant::Grant;
use mustwright::web::paths::Method;
use mustwright::web::viewer::Role;

use super::{change, club_at_rest, set_up_app};
use crate::support::{Browser, Club, PASSWORD, Page, Person, a_keeper, a_member};

/// An empty setting is one that is not set: the program's default.
const DEFAULT: &[(&str, &str)] = &[("MUSTWRIGHT_SECOND_FACTOR", "")];
/// What stays open: the way to a second step, the proof for it, and the way out.
const OPEN: &[(Method, &str)] = &[
    (Method::Get, "/second-step"),
    (Method::Get, "/second-step/app"),
    (Method::Post, "/second-step/app"),
    (Method::Post, "/second-step/app/confirm"),
    (Method::Post, "/second-step/app/remove"),
    (Method::Post, "/second-step/recovery-codes"),
    (Method::Post, "/second-step/passkeys"),
    (Method::Post, "/second-step/passkeys/keep"),
    (Method::Post, "/second-step/passkeys/{id}/name"),
    (Method::Post, "/second-step/passkeys/{id}/remove"),
    (Method::Get, "/sign-in/again"),
    (Method::Post, "/sign-in"),
    (Method::Post, "/sign-in/step"),
    (Method::Post, "/sign-in/passkey"),
    (Method::Post, "/sign-in/passkey/answer"),
    (Method::Post, "/sign-out"),
];

fn is_held(page: &Page) -> bool {
    page.location() == Some("/second-step")
        || (page.status == 403 && page.text.contains("A second step first"))
}

async fn ask(browser: &Browser, method: Method, path: &str) -> Page {
    match method {
        Method::Get => browser.get(path).await,
        _ => browser.post(path, &[("title", "Hedgerow")]).await,
    }
}

#[tokio::test]
async fn a_keeper_without_one_is_held_on_every_route() {
    let club = Club::with(DEFAULT).await;
    let wren = a_keeper().of(&club).await;
    let mut held = club.browser_of(&wren).await;
    let mut open = 0;
    for route in app::routes() {
        let path = route.with(&["aaaaaaaaaaaaaaaaaaaa"; 5]);
        // Where programs ask, a cookie is nobody's.
        if route.path.starts_with("/api/") {
            continue;
        }
        let stays_open = OPEN.contains(&(route.method, route.path));
        if stays_open {
            open += 1;
            held = club.browser_of(&wren).await;
        }
        let page = ask(&held, route.method, &path).await;
        let leads_there =
            page.location() == Some("/second-step") && path.starts_with("/second-step");
        assert_eq!(
            is_held(&page) && !leads_there,
            !stays_open,
            "{route:?}: {} {}",
            page.status,
            page.text
        );
        if stays_open {
            held = club.browser_of(&wren).await;
        }
    }
    assert_eq!(open, OPEN.len());
    assert!(is_held(&held.get("/nothing/here").await));
    let css = held.get("/second-step").await;
    let css = css
        .text
        .split('"')
        .find(|text| text.starts_with("/static/app."));
    assert_eq!(held.get(css.expect("a stylesheet")).await.status, 200);
    assert_eq!(held.get("/health/ready").await.status, 200);
}

async fn is_stopped(club: &Club, person: &Person) -> bool {
    is_held(&club.browser_of(person).await.get("/").await)
}

#[tokio::test]
async fn the_setting_says_who() {
    for (setting, stopped) in [
        ("", [false, true, true]),
        ("organisers-and-keepers", [false, true, true]),
        ("everybody", [true, true, true]),
        ("nobody", [false, false, false]),
    ] {
        let club = Club::with(&[("MUSTWRIGHT_SECOND_FACTOR", setting)]).await;
        let mut found = Vec::new();
        for (role, name) in Role::ALL.into_iter().zip(["Ada", "Olga", "Wren"]) {
            let person = a_member().named(name).being(role).of(&club).await;
            found.push(is_stopped(&club, &person).await);
        }
        assert_eq!(found, stopped, "{setting}");
    }
}

#[tokio::test]
async fn a_new_keeper_is_led_there_and_goes_on_afterwards() {
    let club = club_at_rest(DEFAULT).await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    let token = make_link(&mut conn, None).await.expect("a link");
    drop(conn);
    let browser = club.browser();
    let page = browser.get(&format!("/set-up/{token}")).await;
    let labelled = [
        ("Your name", "Wren Ashby"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
    ];
    let done = browser.submit(&page, "Set up", &labelled).await;
    let home = browser.follow(done).await;
    let page = browser.follow(home).await;
    assert_eq!(page.heading(), "Your second step", "{}", page.text);
    assert!(page.text.contains("A keeper of this club needs one."));
    assert!(page.text.contains("The other pages wait until then."));
    set_up_app(&club, &browser).await;
    assert_eq!(browser.get("/").await.heading(), "Welcome, Wren Ashby");
    assert_eq!(browser.get("/keeper/members").await.status, 200);
    // Without it again, at once.
    let page = browser.get("/second-step").await;
    browser.submit(&page, "Remove the app", &[]).await;
    assert!(is_held(&browser.get("/keeper/members").await));
}

#[tokio::test]
async fn a_role_that_is_given_holds_at_once_and_keeps_what_was_typed() {
    let club = club_at_rest(DEFAULT).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    assert_eq!(browser.get("/").await.status, 200);
    change(&club, "update members set role = 'organiser'").await;
    let typed = [("zone", "Europe/London"), ("sachet", "11,5 g \"typed\"")];
    let page = browser.post("/settings", &typed).await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (403, "A second step first")
    );
    assert_eq!(page.hidden("sachet").as_deref(), Some(typed[1].1));
    assert_eq!(
        page.link("Set up the second step").as_deref(),
        Some("/second-step")
    );
    set_up_app(&club, &browser).await;
    let sent = browser.submit(&page, "Send again", &[]).await;
    assert_eq!(
        sent.value("One sachet of your yeast weighs, in grams"),
        typed[1].1
    );
}

#[tokio::test]
async fn a_token_is_no_way_around() {
    let club = Club::with(DEFAULT).await;
    let ada = a_member().of(&club).await;
    let tokens = [Grant::Write, Grant::Feed];
    let [write, feed] = [
        club.token_of(&ada, tokens[0]).await,
        club.token_of(&ada, tokens[1]).await,
    ];
    let browser = club.browser();
    let feed = format!("/feeds/{feed}.atom");
    let ask = async || {
        let request = browser.request(reqwest::Method::GET, "/api/v1/recipes");
        let request = request.header("authorization", format!("Bearer {write}"));
        (
            browser.send(request).await.status,
            browser.get(&feed).await.status,
        )
    };
    assert_eq!(ask().await, (200, 200));
    change(&club, "update members set role = 'keeper'").await;
    assert_eq!(ask().await, (403, 404));
    set_up_app_of(&club, &ada).await;
    assert_eq!(ask().await, (200, 200));
}

/// A second step that somebody has, without the pages.
async fn set_up_app_of(club: &Club, person: &Person) {
    let mut conn = club.pool().acquire().await.expect("a connection");
    let secret = [7u8; 20];
    store::begin_app(&mut conn, person.id, &secret)
        .await
        .expect("begun");
    assert!(
        store::confirm_app(&mut conn, person.id, &secret, 1)
            .await
            .expect("done")
    );
}
