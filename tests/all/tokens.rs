//! Tokens of members: what each opens, made under the password, shown once, and every way in which they end.

use mustwright::app;
use mustwright::members::roll;
use mustwright::web::grant::Grant;
use mustwright::web::paths::{Method, Route};
use mustwright::web::policy::Door;
use reqwest::header::AUTHORIZATION;
use sqlx::AssertSqlSafe;

use crate::support::{Browser, Club, PASSWORD, Page, Person, a_keeper, a_member};

const PAGE: &str = "/settings/tokens";
const RECIPES: &str = "/api/v1/recipes";
const MAKE: &str = "Make the token";

async fn with_token(browser: &Browser, method: &str, path: &str, token: &str) -> Page {
    let method = method.parse().expect("a method");
    let request = browser.request(method, path);
    let request = request
        .header(AUTHORIZATION, format!("Bearer {token}"))
        .header("origin", "http://elsewhere.example");
    browser.send(request).await
}

/// What a program of nobody's browser gets with a token.
async fn asked(club: &Club, token: &str) -> u16 {
    let browser = club.browser();
    let request = browser
        .request(reqwest::Method::GET, RECIPES)
        .bearer_auth(token);
    browser.send(request).await.status
}

async fn a_club() -> (Club, Person, Browser) {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    (club, ada, browser)
}

async fn made(browser: &Browser, labelled: &[(&str, &str)]) -> Page {
    let page = browser.get(PAGE).await;
    // What a test says of a field counts before what it is otherwise.
    let mut fields = labelled.to_vec();
    fields.extend([("Name", "cellar clock"), ("Your password", PASSWORD)]);
    browser.submit(&page, MAKE, &fields).await
}

async fn count(club: &Club, sql: &str) -> i64 {
    sqlx::query_scalar(AssertSqlSafe(sql.to_owned()))
        .fetch_one(club.pool())
        .await
        .expect("a count")
}

#[tokio::test]
async fn a_token_is_shown_once_and_only_its_hash_is_kept() {
    let (club, _, browser) = a_club().await;
    let page = made(&browser, &[]).await;
    assert_eq!(
        page.heading(),
        "The token for cellar clock",
        "{}",
        page.text
    );
    assert_eq!(page.header("cache-control"), "no-store");
    let token = page.words_of("p.code").expect("the token");
    assert!(
        token.starts_with("mustwright_") && token.len() == 63,
        "{token}"
    );

    let list = browser.get(PAGE).await;
    assert!(!list.text.contains(&token));
    assert!(list.text.contains("never used"), "{}", list.text);
    assert_eq!(asked(&club, &token).await, 200);
    let list = browser.get(PAGE).await;
    assert!(list.text.contains("last used"), "{}", list.text);

    let kept: String = sqlx::query_scalar("select string_agg(t::text, ' ') from member_tokens t")
        .fetch_one(club.pool())
        .await
        .expect("rows");
    assert!(!kept.contains(token.trim_start_matches("mustwright_")));

    let ended = browser.submit(&list, "End it: cellar clock", &[]).await;
    let list = browser.follow(ended).await;
    assert!(
        list.text.contains("It opens nothing any more."),
        "{}",
        list.text
    );
    assert_eq!(asked(&club, &token).await, 401);
}

#[tokio::test]
async fn the_form_says_what_is_wrong_and_keeps_the_rest() {
    let (club, _, browser) = a_club().await;
    for (label, text, told) in [
        (
            "Your password",
            "some other words here",
            "This is not your password.",
        ),
        ("Your password", "", "Enter your password."),
        ("Name", " ", "Name the program or the device"),
        ("Name", &"x".repeat(61), "at most 60 characters"),
        ("Until", "2027-02-29", "Write a day like"),
        ("Until", "0000-00-00", "Write a day like"),
        ("Until", "1 January 10000", "Write a day like"),
        ("Until", "yesterday", "Write a day like"),
    ] {
        let mut fields = vec![("Good for", "day"), ("Until", "1 March 2027")];
        fields.retain(|(field, _)| *field != label);
        fields.push((label, text));
        let page = made(&browser, &fields).await;
        assert_eq!(page.status, 422, "{label} {text}");
        assert!(
            page.fault(label).contains(told),
            "{label}: {}",
            page.fault(label)
        );
        if label != "Name" {
            assert_eq!(page.value("Name"), "cellar clock");
        }
        assert_eq!(page.value("Your password"), "");
    }
    // Fields that no form of ours sends.
    let page = browser.get(PAGE).await;
    for (name, text) in [("opens", "keeper"), ("good_for", "9999")] {
        let (_, mut fields) = page.filled(MAKE, &[("Name", "x"), ("Your password", PASSWORD)]);
        fields.retain(|(field, _)| field != name);
        let mut fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        fields.push((name, text));
        assert_eq!(browser.post(PAGE, &fields).await.status, 422, "{name}");
    }
    assert_eq!(count(&club, "select count(*) from member_tokens").await, 0);
}

#[tokio::test]
async fn wrong_passwords_are_counted_as_at_the_sign_in() {
    let (_club, _, browser) = a_club().await;
    let mut last = 0;
    for _ in 0..12 {
        last = made(&browser, &[("Your password", "wrong wrong wrong")])
            .await
            .status;
    }
    assert_eq!(last, 429);
}

#[tokio::test]
async fn a_double_click_makes_one_and_twenty_are_the_most() {
    let (club, ada, browser) = a_club().await;
    let page = browser.get(PAGE).await;
    let fields = [("Name", "clock"), ("Your password", PASSWORD)];
    let first = browser.submit(&page, MAKE, &fields).await;
    let again = browser.submit(&page, MAKE, &fields).await;
    assert_eq!(first.status, 200);
    let again = browser.follow(again).await;
    assert!(
        again.text.contains("This form was sent before"),
        "{}",
        again.text
    );
    assert_eq!(count(&club, "select count(*) from member_tokens").await, 1);

    // Many at once take exactly the places that are left.
    let new = || mustwright::members::tokens::NewToken {
        name: "many".to_owned(),
        opens: Grant::Read,
        expires_at: chrono::Utc::now() + chrono::TimeDelta::hours(1),
    };
    let makers = (0..30).map(|_| {
        let (pool, member, new) = (club.pool().clone(), ada.id, new());
        tokio::spawn(async move {
            let mut tx = pool.begin().await.expect("a transaction");
            let made = mustwright::members::tokens::store::make(&mut tx, member, &new).await;
            tx.commit().await.expect("a commit");
            made.expect("the database").is_some()
        })
    });
    let mut done = 0;
    for maker in makers.collect::<Vec<_>>() {
        done += i32::from(maker.await.expect("a maker"));
    }
    assert_eq!(done, 19);
    let page = made(&browser, &[]).await;
    assert!(
        page.fault("Name").contains("You have 20 tokens"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn each_token_opens_what_it_is_for_and_nothing_else() {
    let club = Club::open().await;
    // A keeper's, so that nothing stays shut for want of a role.
    let wren = a_keeper().of(&club).await;
    let browser = club.browser();
    let mut walked = 0;
    for opens in Grant::ALL {
        let token = club.token_of(&wren, opens).await;
        for route in app::routes() {
            let door = route.action.door();
            if door == Door::Open {
                continue;
            }
            let path = route.with(&["aaaaaaaaaaaaaaaaaaaa"; 5]);
            let method = format!("{:?}", route.method).to_uppercase();
            let request = browser.request(method.parse().expect("a method"), &path);
            let request = request
                .bearer_auth(&token)
                .header("origin", club.app.site.origin());
            let page = browser.send(request).await;
            let told = format!("{opens:?} {route:?}: {} {}", page.status, page.text);
            walked += 1;
            match (route.path.starts_with("/api/"), may(opens, route)) {
                // A page asks for a session whatever stands in the header.
                (false, _) => assert!(
                    page.status == 401
                        || page.location().is_some_and(|to| to.starts_with("/sign-in")),
                    "{told}"
                ),
                (true, false) => {
                    assert_eq!(page.status, 403, "{told}");
                    assert!(
                        page.header("www-authenticate")
                            .contains("insufficient_scope")
                    );
                }
                (true, true) => assert!(![401, 403].contains(&page.status), "{told}"),
            }
        }
    }
    assert!(walked > 100, "the table is walked, not an empty list");
}

/// Written anew here: reading reads, writing does both, the tokens of a feed and a calendar do neither.
fn may(opens: Grant, route: Route) -> bool {
    match opens {
        Grant::Feed | Grant::Calendar => false,
        Grant::Read => route.method == Method::Get,
        Grant::Write => true,
    }
}

#[tokio::test]
async fn a_cookie_opens_nothing_for_programs_and_needs_no_guard_there() {
    let (club, ada, browser) = a_club().await;
    for method in ["GET", "POST"] {
        let request = browser.request(method.parse().expect("a method"), RECIPES);
        let request = request.header("origin", club.app.site.origin());
        assert_eq!(browser.send(request).await.status, 401, "{method}");
    }
    // A page elsewhere that got hold of a browser sends no token, and with one it is stopped all the same.
    let token = club.token_of(&ada, Grant::Write).await;
    let page = with_token(&browser, "POST", RECIPES, &token).await;
    assert_eq!(page.status, 403, "{}", page.text);
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}

#[tokio::test]
async fn what_is_no_token_opens_nothing() {
    let (club, ada, _) = a_club().await;
    let browser = club.browser();
    let token = club.token_of(&ada, Grant::Read).await;
    let whole = format!("Bearer {token}");
    for (lines, status) in [
        (vec![whole.clone()], 200),
        (vec![format!("bearer   {token}")], 200),
        (vec![], 401),
        (vec![token.clone()], 401),
        (vec![format!("Basic {token}")], 401),
        (vec!["Bearer".to_owned()], 401),
        (vec!["Bearer ".to_owned()], 401),
        (vec![format!("Bearer {}", token.to_uppercase())], 401),
        (vec![format!("Bearer {token}x")], 401),
        (vec![format!("Bearer {}", "a".repeat(5000))], 401),
        (vec![whole.clone(), whole], 401),
    ] {
        let mut request = browser.request(reqwest::Method::GET, RECIPES);
        for line in &lines {
            request = request.header(AUTHORIZATION, line);
        }
        assert_eq!(browser.send(request).await.status, status, "{lines:?}");
    }
}

#[tokio::test]
async fn tokens_end_with_their_day_the_password_and_the_membership() {
    let (club, ada, browser) = a_club().await;
    let run_out = club.token_of(&ada, Grant::Read).await;
    let sql = "update member_tokens set created_at = now() - interval '2 days', expires_at = now() - interval '1 second'";
    sqlx::query(sql).execute(club.pool()).await.expect("rows");
    assert_eq!(asked(&club, &run_out).await, 401);

    // All together.
    let tokens = [
        club.token_of(&ada, Grant::Read).await,
        club.token_of(&ada, Grant::Write).await,
    ];
    let page = browser.get(PAGE).await;
    browser.submit(&page, "End all of them", &[]).await;
    for token in &tokens {
        assert_eq!(asked(&club, token).await, 401);
    }

    // With the password.
    let token = club.token_of(&ada, Grant::Read).await;
    let page = browser.get("/settings/password").await;
    let new = "heron ladle pewter nine";
    let fields = [
        ("Password that you have now", PASSWORD),
        ("New password", new),
        ("The same new password again", new),
    ];
    let done = browser.submit(&page, "Change the password", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(asked(&club, &token).await, 401);

    // With the membership; letting in again revives none.
    let token = club.token_of(&ada, Grant::Read).await;
    assert_eq!(asked(&club, &token).await, 200);
    let id: String = sqlx::query_scalar("select public_id from members where name = 'Ada'")
        .fetch_one(club.pool())
        .await
        .expect("Ada");
    let mut tx = club.pool().begin().await.expect("a transaction");
    let out = roll::store::shut_out(&mut tx, &id).await;
    assert!(matches!(out, Ok(roll::Changed::Done)));
    tx.commit().await.expect("a commit");
    assert_eq!(asked(&club, &token).await, 401);
    let mut conn = club.pool().acquire().await.expect("a connection");
    let back = roll::store::let_in(&mut conn, &id).await;
    assert!(matches!(back, Ok(roll::Changed::Done)));
    assert_eq!(asked(&club, &token).await, 401);
}

#[tokio::test]
async fn nobody_ends_anothers_token() {
    let (club, ada, _) = a_club().await;
    let token = club.token_of(&ada, Grant::Read).await;
    let bert = a_member().named("Bert").of(&club).await;
    let other = club.browser_of(&bert).await;
    let id: String = sqlx::query_scalar("select public_id from member_tokens")
        .fetch_one(club.pool())
        .await
        .expect("a token");
    let page = other.post(&format!("{PAGE}/{id}/end"), &[]).await;
    assert_eq!(page.status, 404);
    other.post(&format!("{PAGE}/end-all"), &[]).await;
    assert_eq!(asked(&club, &token).await, 200);
}

#[tokio::test]
async fn a_token_used_too_often_waits_and_others_do_not() {
    let club = Club::with(&[("MUSTWRIGHT_API_PER_MINUTE", "3")]).await;
    let ada = a_member().of(&club).await;
    let (first, second) = (
        club.token_of(&ada, Grant::Read).await,
        club.token_of(&ada, Grant::Read).await,
    );
    let browser = club.browser();
    let uses = (0..8).map(|_| asked(&club, &first));
    let mut seen = Vec::new();
    for use_of in uses {
        seen.push(use_of.await);
    }
    assert_eq!(seen, [200, 200, 200, 429, 429, 429, 429, 429]);
    let request = browser.request(reqwest::Method::GET, RECIPES);
    let page = browser.send(request.bearer_auth(&first)).await;
    let wait: u32 = page.header("retry-after").parse().expect("seconds");
    assert!((1..=60).contains(&wait));
    assert_eq!(page.header("content-type"), "application/problem+json");
    assert_eq!(asked(&club, &second).await, 200);
    // A minute later it goes on.
    let sql = "update member_tokens set minute_began_at = now() - interval '61 seconds'";
    sqlx::query(sql).execute(club.pool()).await.expect("rows");
    assert_eq!(asked(&club, &first).await, 200);
}
