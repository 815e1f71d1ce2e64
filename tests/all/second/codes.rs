//! Codes from an app: set up, asked for, good once, slowed down.

use mustwright::app;
use mustwright::members::second::store;
use mustwright::web::paths::Method;
use mustwright::web::policy::Door;

use super::{CODE, change, club_at_rest, count, half_way, is_in, set_up_app, wait_steps};
use crate::support::{Browser, Club, PASSWORD, Page, a_keeper, a_member};

#[tokio::test]
async fn an_app_is_set_up_by_its_first_code_and_asked_for_from_then_on() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (here, there) = (club.browser_of(&ada).await, club.browser_of(&ada).await);
    let (phone, codes) = set_up_app(&club, &here).await;
    assert_eq!(codes.len(), 10);
    assert!(is_in(&here).await);
    assert!(!is_in(&there).await, "a change ends the other sessions");
    let settings = here.get("/settings").await;
    assert!(settings.text.contains("Codes from an app, set up on"));
    assert!(settings.text.contains("10 unused recovery codes"));

    let (browser, page) = half_way(&club, &ada).await;
    assert!(!is_in(&browser).await, "the password alone opens nothing");
    let nothing = browser.submit(&page, "Go on", &[]).await;
    assert_eq!(nothing.status, 422);
    assert!(
        nothing.fault(CODE).contains("six digits"),
        "{}",
        nothing.text
    );
    let wrong = browser.submit(&page, "Go on", &[(CODE, "000000")]).await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.fault(CODE).contains("Wait for the next code"));
    assert!(!wrong.text.contains("000000"), "a code never comes back");
    let half = browser.cookie_line();
    let done = browser
        .submit(&wrong, "Go on", &[(CODE, &phone.code(&club))])
        .await;
    assert_eq!((done.status, done.location()), (303, Some("/")));
    assert!(is_in(&browser).await);
    assert!(
        !browser.cookie_line().contains("half"),
        "{}",
        browser.cookie_line()
    );
    assert!(half.starts_with("mustwright-half="), "{half}");
    assert_eq!(count(&club, "select count(*) from half_sign_ins").await, 0);
}

#[tokio::test]
async fn a_first_code_that_does_not_fit_sets_nothing_up() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let page = browser.get("/second-step").await;
    let begun = browser.submit(&page, "Set up codes from an app", &[]).await;
    let page = browser.follow(begun).await;
    for code in ["", "12345", "000000"] {
        let again = browser.submit(&page, "Use this app", &[(CODE, code)]).await;
        assert_eq!(again.status, 422);
        assert_ne!(again.fault(CODE), "");
        assert_eq!(
            again.words_of(".key"),
            page.words_of(".key"),
            "the same key is shown"
        );
    }
    assert_eq!(count(&club, "select count(*) from code_apps").await, 0);
    assert_eq!(
        club.browser().sign_in("Ada", PASSWORD).await.location(),
        Some("/")
    );
    change(
        &club,
        "update code_apps_begun set expires_at = now() - interval '1 second'",
    )
    .await;
    let late = browser
        .submit(&page, "Use this app", &[(CODE, "000000")])
        .await;
    let late = browser.follow(late).await;
    assert!(late.text.contains("shown for too long"), "{}", late.text);
    assert_eq!(
        browser.get("/second-step/app").await.location(),
        Some("/second-step")
    );
}

#[tokio::test]
async fn a_code_is_good_once_and_an_earlier_one_never_again() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (phone, _) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let earlier = phone.code(&club);
    wait_steps(&club, 1);
    let code = phone.code(&club);
    let enter = async |code: &str| {
        let (browser, page) = half_way(&club, &ada).await;
        browser.submit(&page, "Go on", &[(CODE, code)]).await.status
    };
    assert_eq!(enter(&code).await, 303);
    assert_eq!(enter(&code).await, 422, "the same code twice");
    assert_eq!(enter(&earlier).await, 422, "one from before it");
    wait_steps(&club, 1);
    assert_eq!(enter(&phone.code(&club)).await, 303);
}

/// Posts as from an address of its own.
async fn post_from(
    club: &Club,
    browser: &Browser,
    path: &str,
    address: usize,
    fields: &[(&str, &str)],
) -> Page {
    let request = browser
        .request(reqwest::Method::POST, path)
        .header("origin", club.app.site.origin())
        .header("x-forwarded-for", format!("203.0.113.{address}"));
    browser.send(request.form(fields)).await
}

#[tokio::test]
async fn of_twenty_at_once_with_one_code_one_comes_in() {
    let club = club_at_rest(&[("MUSTWRIGHT_TRUSTED_PROXIES", "127.0.0.1")]).await;
    let ada = a_member().of(&club).await;
    let (phone, _) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let code = phone.code(&club);
    let mut browsers = Vec::new();
    for number in 0..20 {
        let browser = club.browser();
        let fields = [("name", ada.name.as_str()), ("password", PASSWORD)];
        let asked = post_from(&club, &browser, "/sign-in", number, &fields).await;
        assert_eq!(asked.location(), Some("/sign-in/step"));
        browsers.push(browser);
    }
    let club = std::sync::Arc::new(club);
    let tries = browsers.into_iter().enumerate().map(|(number, browser)| {
        let (club, code) = (std::sync::Arc::clone(&club), code.clone());
        tokio::spawn(async move {
            let fields = [("one_time_password", code.as_str())];
            let page = post_from(&club, &browser, "/sign-in/step", number, &fields).await;
            page.status
        })
    });
    let tries: Vec<_> = tries.collect();
    let mut statuses = Vec::new();
    for one in tries {
        statuses.push(one.await.expect("an answer"));
    }
    let came_in = statuses.iter().filter(|status| **status == 303).count();
    assert_eq!(came_in, 1, "{statuses:?}");
    assert!(
        statuses
            .iter()
            .all(|status| [303, 422, 429].contains(status)),
        "{statuses:?}"
    );
}

#[tokio::test]
async fn of_twenty_at_once_one_uses_a_step_up() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    set_up_app(&club, &club.browser_of(&ada).await).await;
    let step = club.app.clock.now().timestamp() / 30;
    let tries = (0..20).map(|_| {
        let (pool, id) = (club.pool().clone(), ada.id);
        tokio::spawn(async move {
            let mut conn = pool.acquire().await.expect("a connection");
            store::use_step(&mut conn, id, step)
                .await
                .expect("an answer")
        })
    });
    let tries: Vec<_> = tries.collect();
    let mut used = 0;
    for one in tries {
        used += i32::from(one.await.expect("an answer"));
    }
    assert_eq!(used, 1);
}

#[tokio::test]
async fn half_a_sign_in_opens_nothing() {
    let club = club_at_rest(&[]).await;
    let wren = a_keeper().of(&club).await;
    set_up_app(&club, &club.browser_of(&wren).await).await;
    let (browser, _) = half_way(&club, &wren).await;
    let half = browser.cookie_line();
    let token = half.strip_prefix("mustwright-half=").expect("the cookie");
    let mut walked = 0;
    for route in app::routes() {
        if route.action.door() == Door::Open {
            continue;
        }
        walked += 1;
        let path = route.with(&["aaaaaaaaaaaaaaaaaaaa"; 5]);
        // Also in the place of a session.
        for line in [half.clone(), format!("mustwright={token}")] {
            browser.take_cookies(&line);
            let page = match route.method {
                Method::Get => browser.get(&path).await,
                Method::Post => browser.post(&path, &[]).await,
                Method::Put => {
                    browser
                        .send(browser.request(reqwest::Method::PUT, &path))
                        .await
                }
                Method::Delete => {
                    browser
                        .send(browser.request(reqwest::Method::DELETE, &path))
                        .await
                }
            };
            let to_sign_in = page
                .location()
                .is_some_and(|to| to.starts_with("/sign-in?next="));
            assert!(page.status == 401 || to_sign_in, "{route:?}: {}", page.text);
        }
    }
    assert!(walked > 20, "{walked}");
    let stored: Vec<u8> = sqlx::query_scalar("select token_hash from half_sign_ins")
        .fetch_one(club.pool())
        .await
        .expect("one");
    assert_eq!(
        stored,
        mustwright::web::random::hash_of(token),
        "only a hash"
    );
}

#[tokio::test]
async fn half_a_sign_in_ends() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (phone, _) = set_up_app(&club, &club.browser_of(&ada).await).await;
    for ending in [
        "update half_sign_ins set expires_at = now() - interval '1 second'",
        "update members set disabled_at = now()",
    ] {
        let (browser, page) = half_way(&club, &ada).await;
        change(&club, ending).await;
        let late = browser
            .submit(&page, "Go on", &[(CODE, &phone.code(&club))])
            .await;
        assert_eq!(
            (late.status, late.heading().as_str()),
            (422, "Sign in"),
            "{ending}"
        );
        assert_eq!(
            browser.get("/sign-in/step").await.location(),
            Some("/sign-in")
        );
        change(&club, "update members set disabled_at = null").await;
    }
    // Done once, it is done: the same cookie opens nothing again.
    let (browser, page) = half_way(&club, &ada).await;
    let half = browser.cookie_line();
    let done = browser
        .submit(&page, "Go on", &[(CODE, &phone.code(&club))])
        .await;
    assert_eq!(done.status, 303);
    wait_steps(&club, 1);
    let replayed = club.browser();
    replayed.take_cookies(&half);
    let code = phone.code(&club);
    let again = replayed
        .post("/sign-in/step", &[("one_time_password", &code)])
        .await;
    assert_eq!((again.status, again.heading().as_str()), (422, "Sign in"));
}

#[tokio::test]
async fn wrong_codes_slow_down_and_the_password_does_not_help() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (phone, _) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let slowed =
        "select count(*) from sign_in_tries where failures = 5 and blocked_until > last_at";
    for number in 0..5 {
        assert_eq!(count(&club, slowed).await, 0, "{number}");
        let (browser, page) = half_way(&club, &ada).await;
        let wrong = browser.submit(&page, "Go on", &[(CODE, "000000")]).await;
        assert_eq!(wrong.status, 422);
    }
    assert_eq!(
        count(&club, slowed).await,
        1,
        "counted, whatever the password"
    );
    change(
        &club,
        "update sign_in_tries set blocked_until = now() + interval '1 hour' where failures = 5",
    )
    .await;
    let (browser, page) = half_way(&club, &ada).await;
    let code = phone.code(&club);
    let early = browser.submit(&page, "Go on", &[(CODE, &code)]).await;
    assert_eq!(early.status, 429);
    assert!(!early.text.contains(&code), "a code never comes back");
    change(&club, "update sign_in_tries set blocked_until = now()").await;
    let right = browser.submit(&page, "Go on", &[(CODE, &code)]).await;
    assert_eq!(right.status, 303, "nobody is locked out: {}", right.text);
    let forgiven =
        "select count(*) from sign_in_tries where failures = 0 and succeeded_at is not null";
    assert_eq!(
        count(&club, forgiven).await,
        4,
        "name and pair, of both steps"
    );
}

#[tokio::test]
async fn what_was_typed_is_carried_through_both_steps() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let (phone, _) = set_up_app(&club, &browser).await;
    change(&club, "update sessions set ended_at = now()").await;
    let typed = [("units", "us"), ("sachet", "11,5 g <b>\"typed\"</b>")];
    let page = browser.post("/settings", &typed).await;
    assert_eq!(page.status, 401);
    let labelled = [("Name", "Ada"), ("Password", PASSWORD)];
    let page = browser.submit(&page, "Sign in", &labelled).await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (200, "The second step")
    );
    let wrong = browser.submit(&page, "Go on", &[(CODE, "000000")]).await;
    let code = phone.code(&club);
    let shown = browser.submit(&wrong, "Go on", &[(CODE, &code)]).await;
    assert_eq!(shown.heading(), "You are signed in", "{}", shown.text);
    assert!(shown.words_of("dl").expect("a list").contains(typed[1].1));
    assert!(shown.has_button("Send again"));
    assert!(!shown.text.contains(&code));
}

#[tokio::test]
async fn the_page_that_was_asked_for_comes_after_the_second_step() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (phone, _) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let browser = club.browser();
    let asked = browser.get("/settings?x=1").await;
    let page = browser.follow(asked).await;
    let labelled = [("Name", "Ada"), ("Password", PASSWORD)];
    let asked = browser.submit(&page, "Sign in", &labelled).await;
    assert_eq!(
        asked.location(),
        Some("/sign-in/step?next=/settings%3Fx%3D1")
    );
    let page = browser.follow(asked).await;
    let done = browser
        .submit(&page, "Go on", &[(CODE, &phone.code(&club))])
        .await;
    assert_eq!(done.location(), Some("/settings?x=1"));
    let elsewhere = club.browser();
    let fields = [
        ("name", "Ada"),
        ("password", PASSWORD),
        ("next", "//evil.example"),
    ];
    assert_eq!(
        elsewhere.post("/sign-in", &fields).await.location(),
        Some("/sign-in/step")
    );
}

#[tokio::test]
async fn another_app_takes_the_place_and_a_removed_one_is_asked_for_no_more() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let (old, codes) = set_up_app(&club, &browser).await;
    let page = browser.get("/second-step").await;
    let begun = browser
        .submit(&page, "Set up another app in its place", &[])
        .await;
    let page = browser.follow(begun).await;
    let secret: Vec<u8> = sqlx::query_scalar("select secret from code_apps_begun")
        .fetch_one(club.pool())
        .await
        .expect("a key");
    let new = mustwright::members::second::codes::Key::of(&secret, "Club", "Ada").expect("a key");
    let code = new.code_at(club.app.clock.now().timestamp());
    let done = browser
        .submit(&page, "Use this app", &[(CODE, &code)])
        .await;
    assert_eq!(
        done.location(),
        Some("/second-step?done=app"),
        "the recovery codes stay"
    );
    wait_steps(&club, 1);
    let (other, page) = half_way(&club, &ada).await;
    let refused = other
        .submit(&page, "Go on", &[(CODE, &old.code(&club))])
        .await;
    assert_eq!(refused.status, 422);
    assert_eq!(codes.len(), 10);
    assert_eq!(
        count(&club, "select count(*) from recovery_codes").await,
        10
    );

    let page = browser.get("/second-step").await;
    let removed = browser.submit(&page, "Remove the app", &[]).await;
    let page = browser.follow(removed).await;
    assert!(page.text.contains("The app is removed"), "{}", page.text);
    assert_eq!(count(&club, "select count(*) from recovery_codes").await, 0);
    assert_eq!(
        club.browser().sign_in("Ada", PASSWORD).await.location(),
        Some("/")
    );
}
