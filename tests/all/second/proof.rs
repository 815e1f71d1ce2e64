//! Whoever changes how they come in proves first that it is they: a session that was left open does not.

use super::{CODE, change, club_at_rest, count, set_up_app};
use crate::support::{PASSWORD, a_keeper, a_member};

const A_WHILE: &str = "update sessions set proved_at = now() - interval '16 minutes'";

#[tokio::test]
async fn an_old_proof_changes_nothing() {
    let club = club_at_rest(&[]).await;
    let wren = a_keeper().of(&club).await;
    let bert = a_member().named("Bert").of(&club).await;
    set_up_app(&club, &club.browser_of(&bert).await).await;
    let browser = club.browser_of(&wren).await;
    let id: String = sqlx::query_scalar("select public_id from members where name = 'Bert'")
        .fetch_one(club.pool())
        .await
        .expect("Bert");
    change(&club, A_WHILE).await;
    for path in [
        "/second-step/app",
        "/second-step/app/confirm",
        "/second-step/app/remove",
        "/second-step/recovery-codes",
        "/second-step/passkeys",
        "/second-step/passkeys/keep",
        "/second-step/passkeys/aaaaaaaaaaaaaaaaaaaa/name",
        "/second-step/passkeys/aaaaaaaaaaaaaaaaaaaa/remove",
        &format!("/keeper/members/{id}/second-step"),
    ] {
        let page = browser.post(path, &[]).await;
        assert_eq!(
            page.location(),
            Some("/sign-in/again"),
            "{path}: {}",
            page.text
        );
    }
    let read = browser.get("/second-step/app").await;
    assert_eq!(
        read.location(),
        Some("/sign-in/again?next=/second-step/app")
    );
    assert_eq!(count(&club, "select count(*) from code_apps").await, 1);
    assert_eq!(
        count(&club, "select count(*) from code_apps_begun").await,
        0
    );
    assert_eq!(
        browser.get("/settings").await.status,
        200,
        "all else goes on"
    );
}

#[tokio::test]
async fn the_proof_is_password_and_second_step_under_a_new_token() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let (phone, _) = set_up_app(&club, &browser).await;
    change(&club, A_WHILE).await;
    let before = browser.cookie_line();
    // The browser tells which page had the button.
    let request = browser
        .request(reqwest::Method::POST, "/second-step/app/remove")
        .header("origin", club.app.site.origin())
        .header("referer", club.app.site.address("/second-step"));
    let led = browser.send(request).await;
    assert_eq!(led.location(), Some("/sign-in/again?next=/second-step"));
    let page = browser.follow(led).await;
    assert_eq!(page.heading(), "Is it you, Ada?");
    let wrong = browser
        .submit(&page, "Sign in", &[("Password", "wrong")])
        .await;
    assert_eq!(
        (wrong.status, wrong.heading().as_str()),
        (422, "Is it you, Ada?")
    );
    let asked = browser
        .submit(&wrong, "Sign in", &[("Password", PASSWORD)])
        .await;
    assert_eq!(asked.location(), Some("/sign-in/step?next=/second-step"));
    let page = browser.follow(asked).await;
    let done = browser
        .submit(&page, "Go on", &[(CODE, &phone.code(&club))])
        .await;
    assert_eq!(done.location(), Some("/second-step"));
    assert_ne!(browser.cookie_line(), before);
    let old = club.browser();
    old.take_cookies(&before);
    assert_eq!(
        old.get("/settings").await.status,
        303,
        "the token before is dead"
    );
    let page = browser.follow(done).await;
    let removed = browser.submit(&page, "Remove the app", &[]).await;
    assert_eq!(removed.location(), Some("/second-step?done=no-app"));
}

#[tokio::test]
async fn a_name_that_was_typed_is_carried_through_the_proof() {
    let club = club_at_rest(&[("MUSTWRIGHT_BASE_URL", "https://mead.example")]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    change(&club, A_WHILE).await;
    let page = browser
        .post("/second-step/passkeys", &[("passkey_name", "blue key")])
        .await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (401, "Is it you, Ada?")
    );
    let shown = browser
        .submit(&page, "Sign in", &[("Password", PASSWORD)])
        .await;
    assert_eq!(shown.heading(), "You are signed in", "{}", shown.text);
    let asked = browser.submit(&shown, "Send again", &[]).await;
    assert_eq!(asked.heading(), "Make a passkey", "{}", asked.text);
    assert!(asked.text.contains("blue key"));
}

#[tokio::test]
async fn the_password_alone_proves_nothing_to_whoever_has_a_second_step() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    set_up_app(&club, &browser).await;
    change(&club, A_WHILE).await;
    let page = browser.get("/settings/password").await;
    let new = "four geese tumble past the weir";
    let labelled = [
        ("Password that you have now", PASSWORD),
        ("New password", new),
        ("The same new password again", new),
    ];
    let done = browser
        .submit(&page, "Change the password", &labelled)
        .await;
    assert_eq!(
        done.location(),
        Some("/settings?done=password"),
        "{}",
        done.text
    );
    let led = browser.post("/second-step/app/remove", &[]).await;
    assert_eq!(led.location(), Some("/sign-in/again"));
    assert_eq!(count(&club, "select count(*) from code_apps").await, 1);
}
