//! Sessions: their tokens, their ends, the cookie.

use sha2::{Digest, Sha256};
use sqlx::{Executor, Row};

use crate::support::{Club, PASSWORD, a_keeper, a_member};

#[tokio::test]
async fn the_database_holds_only_hashes() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let line = browser.cookie_line();
    let token = line.strip_prefix("mustwright=").expect("the cookie");
    assert_eq!(token.len(), 52, "260 bits");
    let row = sqlx::query("select token_hash from sessions")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let stored: Vec<u8> = row.get(0);
    assert_eq!(stored, Sha256::digest(token.as_bytes()).to_vec());
    let thief = club.browser();
    let hex: String = stored.iter().map(|byte| format!("{byte:02x}")).collect();
    thief.take_cookies(&format!("mustwright={}", &hex[..52]));
    assert_eq!(thief.get("/settings").await.status, 303);
}

#[tokio::test]
async fn signing_in_gives_a_new_token_and_ends_the_old() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let before = browser.cookie_line();
    assert_eq!(browser.sign_in(&ada.name, PASSWORD).await.status, 303);
    assert_ne!(browser.cookie_line(), before);
    let old = club.browser();
    old.take_cookies(&before);
    assert_eq!(old.get("/settings").await.status, 303);
    let fixed = club.browser();
    fixed.take_cookies(&format!("mustwright={}", "a".repeat(52)));
    fixed.sign_in(&ada.name, PASSWORD).await;
    assert!(
        !fixed.cookie_line().contains("aaaa"),
        "a token put there by somebody else is not used"
    );
}

#[tokio::test]
async fn signing_out_kills_the_session_at_once() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let before = browser.cookie_line();
    let home = browser.get("/").await;
    let out = browser.submit(&home, "Sign out", &[]).await;
    assert_eq!(out.header("clear-site-data"), "\"cache\", \"storage\"");
    assert!(browser.cookie_line().is_empty());
    let replayed = club.browser();
    replayed.take_cookies(&before);
    assert_eq!(replayed.get("/settings").await.status, 303);
    for path in ["/", "/settings", "/settings/password"] {
        assert!(
            club.browser_of(&ada)
                .await
                .get(path)
                .await
                .has_button("Sign out"),
            "{path}"
        );
    }
}

#[tokio::test]
async fn sessions_end_by_rest_and_by_age() {
    let club = Club::open().await;
    let (ada, wren) = (a_member().of(&club).await, a_keeper().of(&club).await);
    let mut owner = club.database.owner().await;
    for (person, aged, lives) in [
        (&ada, "seen_at = now() - interval '13 days 23 hours'", true),
        (&ada, "seen_at = now() - interval '14 days 1 minute'", false),
        (
            &ada,
            "created_at = now() - interval '29 days 23 hours'",
            true,
        ),
        (
            &ada,
            "created_at = now() - interval '30 days 1 minute'",
            false,
        ),
        (
            &wren,
            "seen_at = now() - interval '11 hours 59 minutes'",
            true,
        ),
        (
            &wren,
            "seen_at = now() - interval '12 hours 1 minute'",
            false,
        ),
    ] {
        let browser = club.browser_of(person).await;
        owner
            .execute(sqlx::AssertSqlSafe(format!("update sessions set {aged}")))
            .await
            .unwrap();
        let status = browser.get("/settings").await.status;
        assert_eq!(status == 200, lives, "{} {aged}", person.name);
        owner.execute("delete from sessions").await.unwrap();
    }
}

#[tokio::test]
async fn a_clock_that_jumps_ends_no_session_and_brings_none_back() {
    let now = "2026-10-25T00:30:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let ada = a_member().of(&club).await;
    let (browser, left) = (club.browser_of(&ada).await, club.browser_of(&ada).await);
    let before = left.cookie_line();
    let home = left.get("/").await;
    left.submit(&home, "Sign out", &[]).await;
    left.take_cookies(&before);
    for hours in [24, -24, 24 * 400, -24 * 400, 1, 0] {
        club.app
            .clock
            .move_to(now + chrono::TimeDelta::hours(hours));
        for path in ["/settings", "/", "/batches", "/club"] {
            assert_eq!(
                browser.get(path).await.status,
                200,
                "{path} {hours} hours away"
            );
        }
        assert_eq!(
            left.get("/settings").await.status,
            303,
            "{hours} hours away"
        );
    }
}

#[tokio::test]
async fn a_role_taken_away_is_gone_with_the_next_request() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let browser = club.browser_of(&wren).await;
    assert!(
        browser
            .get("/")
            .await
            .text
            .contains("Served over plain http")
    );
    let mut owner = club.database.owner().await;
    owner
        .execute("update members set role = 'member'")
        .await
        .unwrap();
    assert!(
        !browser
            .get("/")
            .await
            .text
            .contains("Served over plain http")
    );
    owner
        .execute("update members set disabled_at = now()")
        .await
        .unwrap();
    assert_eq!(browser.get("/settings").await.status, 303);
    assert_eq!(
        club.browser().sign_in(&wren.name, PASSWORD).await.status,
        422,
        "signing in does not let one in again"
    );
}

#[tokio::test]
async fn other_sessions_are_told_and_can_be_ended() {
    let club = Club::open().await;
    let ada = a_member().named("Ada").of(&club).await;
    let bert = a_member().named("Bert").of(&club).await;
    let here = club.browser_of(&ada).await;
    let (there, elsewhere) = (club.browser_of(&ada).await, club.browser_of(&ada).await);
    let other = club.browser_of(&bert).await;
    // They began an hour apart, so that each is told from the others.
    sqlx::query(
        "update sessions set created_at = now() - make_interval(hours => id::integer), seen_at = now() - make_interval(hours => id::integer)",
    )
    .execute(club.pool())
    .await
    .unwrap();
    let page = here.get("/settings").await;
    assert_eq!(page.text.matches("last used").count(), 2, "{}", page.text);
    assert_eq!(page.text.matches("Here, since").count(), 1);

    // One of them, by its own button, and none of another member.
    let at: Vec<String> = sqlx::query_scalar(
        "select '/settings/sessions/' || public_id || '/end' from sessions order by id",
    )
    .fetch_all(club.pool())
    .await
    .unwrap();
    assert!(page.text.contains(&at[1]) && !page.text.contains(&at[0]));
    let ended = here.follow(here.post(&at[1], &[]).await).await;
    assert!(ended.text.contains("There you are signed out."));
    assert_eq!(here.post(&at[1], &[]).await.status, 303, "twice is once");
    assert_eq!(there.get("/settings").await.status, 303);
    assert_eq!(elsewhere.get("/settings").await.status, 200);
    assert_eq!(here.post(&at[3], &[]).await.status, 404, "it is Bert's");
    assert_eq!(other.get("/settings").await.status, 200);

    let page = here.get("/settings").await;
    let ended = here.submit(&page, "Sign out everywhere else", &[]).await;
    let page = here.follow(ended).await;
    assert!(page.text.contains("Everywhere else you are signed out."));
    assert!(!page.has_button("Sign out everywhere else"));
    assert_eq!(elsewhere.get("/settings").await.status, 303);
    assert_eq!(other.get("/settings").await.status, 200);
}

#[tokio::test]
async fn there_are_never_more_than_twenty() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let first = club.browser_of(&ada).await;
    for _ in 0..20 {
        club.browser_of(&ada).await;
    }
    assert_eq!(first.get("/settings").await.status, 303);
    let alive: i64 = sqlx::query_scalar("select count(*) from sessions where ended_at is null")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(alive, 20);
}

#[tokio::test]
async fn account_pages_are_kept_nowhere() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    for path in ["/settings", "/settings/password"] {
        assert_eq!(
            browser.get(path).await.header("cache-control"),
            "no-store",
            "{path}"
        );
    }
    assert_eq!(
        club.browser().get("/sign-in").await.header("cache-control"),
        "no-store"
    );
    assert_eq!(
        browser.get("/").await.header("cache-control"),
        "no-store",
        "the Back button shows no page of a session that has ended"
    );
}
