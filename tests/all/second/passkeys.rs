//! Passkeys in Chromium, with an authenticator of the test's own: made, used without a name, good once, removed.

use serde_json::{Value, json};

use super::{change, club_at_rest, count, is_in};
use crate::support::{Browser, Chromium, Club, PASSWORD, a_member, in_chromium};

/// Browsers know passkeys at this machine's name, not at its number.
const AT_HOME: &[(&str, &str)] = &[("MUSTWRIGHT_BASE_URL", "http://localhost:{port}")];

/// A device that keeps passkeys and says yes.
async fn a_device(page: &Chromium) -> String {
    page.devtools("WebAuthn.enable", json!({ "enableUI": false }))
        .await;
    let options = json!({ "options": {
        "protocol": "ctap2", "transport": "internal", "hasResidentKey": true,
        "hasUserVerification": true, "isUserVerified": true, "automaticPresenceSimulation": true,
    }});
    let made = page
        .devtools("WebAuthn.addVirtualAuthenticator", options)
        .await;
    made["authenticatorId"].as_str().expect("an id").to_owned()
}

async fn sign_in(page: &Chromium) {
    page.open("/sign-in").await;
    page.put("Name", "Ada").await;
    page.put("Password", PASSWORD).await;
    page.press_to("Sign in").await;
    assert_eq!(page.heading().await, "Welcome, Ada");
}

async fn make_one(page: &Chromium, name: &str) {
    page.open("/second-step").await;
    page.put("Name of the new passkey", name).await;
    page.press_to("Make a passkey").await;
    page.press_to("Make the passkey").await;
}

/// Lets the device answer, and keeps the form back: its fields.
async fn answer_unsent(page: &Chromium, button: &str) -> Vec<(String, String)> {
    page.run("document.forms[document.forms.length - 1].submit = () => { document.held = true; }; document.querySelector('form[data-passkey]').submit = () => { document.held = true; };", vec![]).await;
    page.press(button).await;
    page.until("document.held").await;
    let fields = page
        .run(
            "return [...new FormData(document.querySelector('form[data-passkey]'))]",
            vec![],
        )
        .await;
    let pairs = fields.as_array().expect("fields").iter();
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    pairs.map(|pair| (text(&pair[0]), text(&pair[1]))).collect()
}

async fn post(browser: &Browser, path: &str, fields: &[(String, String)]) -> crate::support::Page {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    browser.post(path, &fields).await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn one_is_made_and_signs_in_without_a_name() {
    let club = club_at_rest(AT_HOME).await;
    let ada = a_member().of(&club).await;
    let elsewhere = club.browser_of(&ada).await;
    let pool = club.pool().clone();
    in_chromium(&club, |page| async move {
        a_device(&page).await;
        sign_in(&page).await;
        make_one(&page, "  grey   phone ").await;
        assert_eq!(
            page.heading().await,
            "Recovery codes",
            "{}",
            page.state().await
        );
        assert!(!is_in(&elsewhere).await, "a change ends the other sessions");
        page.open("/second-step").await;
        let words = page.words().await;
        assert!(words.contains("grey phone, made on"), "{words}");
        assert!(words.contains("not used yet"), "{words}");
        // The same device does not take a second one.
        page.put("Name of the new passkey", "again").await;
        page.press_to("Make a passkey").await;
        page.press("Make the passkey").await;
        page.until("!document.querySelector('[data-passkey-known]').hidden")
            .await;

        page.press_to("Sign out").await;
        page.open("/sign-in").await;
        page.press_to("Sign in with a passkey").await;
        page.press_to("Use a passkey").await;
        assert_eq!(
            page.heading().await,
            "Welcome, Ada",
            "{}",
            page.state().await
        );

        // After name and password it is the second step.
        page.press_to("Sign out").await;
        page.open("/settings").await;
        page.put("Name", "Ada").await;
        page.put("Password", PASSWORD).await;
        page.press_to("Sign in").await;
        assert_eq!(page.heading().await, "The second step");
        page.press_to("Use a passkey").await;
        page.press_to("Use a passkey").await;
        assert_eq!(
            page.heading().await,
            "Your settings",
            "{}",
            page.state().await
        );
        assert!(page.words().await.contains("One passkey"));
        // That signing out emptied the browser is told there, and is no fault.
        let mut console = page.console().await;
        console.retain(|entry| !entry.message.contains("Clear-Site-Data"));
        assert!(console.is_empty(), "{console:?}");

        page.open("/second-step").await;
        page.press("Rename or remove: grey phone").await;
        page.put("Name, grey phone", "old phone").await;
        page.press_to("Rename: grey phone").await;
        page.press("Rename or remove: old phone").await;
        page.press_to("Remove: old phone").await;
        assert!(page.words().await.contains("The passkey is removed"));
        page.press_to("Sign out").await;
        page.open("/sign-in").await;
        page.press_to("Sign in with a passkey").await;
        page.press_to("Use a passkey").await;
        let words = page.words().await;
        assert!(
            words.contains("This passkey opens nothing here."),
            "{words}"
        );
        let left: i64 = sqlx::query_scalar("select count(*) from recovery_codes")
            .fetch_one(&pool)
            .await
            .expect("a number");
        assert_eq!(left, 0, "without a second step there are no recovery codes");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_answer_is_good_once_and_for_its_own_question() {
    let club = std::sync::Arc::new(club_at_rest(AT_HOME).await);
    a_member().of(&club).await;
    let other = a_member().named("Bert").of(&club).await;
    let inside = std::sync::Arc::clone(&club);
    in_chromium(&club, |page| async move {
        let club: &Club = &inside;
        let device = a_device(&page).await;
        sign_in(&page).await;
        page.open("/second-step").await;
        page.put("Name of the new passkey", "phone").await;
        page.press_to("Make a passkey").await;
        let made = answer_unsent(&page, "Make the passkey").await;
        // Another member cannot keep it, and for the one who can it is good once.
        let bert = club.browser_of(&other).await;
        assert_eq!(post(&bert, "/second-step/passkeys/keep", &made).await.status, 422);
        assert_eq!(count(club, "select count(*) from passkeys").await, 0);
        page.run("HTMLFormElement.prototype.submit.call(document.querySelector('form[data-passkey]'))", vec![]).await;
        page.until("document.querySelector('h1').textContent === 'Recovery codes'").await;
        let kept = page.run("return fetch('/second-step/passkeys/keep', { method: 'POST', body: new URLSearchParams(arguments[0]) }).then(answer => answer.status)", vec![json!(made)]).await;
        assert_eq!(kept, json!(422), "a second time");

        page.press_to("Sign out").await;
        page.open("/sign-in").await;
        page.press_to("Sign in with a passkey").await;
        let answered = answer_unsent(&page, "Use a passkey").await;
        let broken: Vec<_> = answered
            .iter()
            .map(|(name, value)| match name.as_str() {
                "credential" => (name.clone(), value.replacen("\"signature\":\"M", "\"signature\":\"N", 1)),
                _ => (name.clone(), value.clone()),
            })
            .collect();
        assert_ne!(broken, answered);
        let thief = club.browser();
        assert_eq!(post(&thief, "/sign-in/passkey/answer", &broken).await.status, 422, "a broken signature");
        assert_eq!(post(&thief, "/sign-in/passkey/answer", &answered).await.status, 422, "its question is used up");
        assert!(!is_in(&thief).await);

        page.open("/sign-in").await;
        page.press_to("Sign in with a passkey").await;
        let answered = answer_unsent(&page, "Use a passkey").await;
        let question = club.browser();
        let asked = question.post("/sign-in/passkey", &[]).await;
        let mut mixed = answered.clone();
        for (name, value) in &mut mixed {
            if name == "ceremony" {
                *value = asked.hidden("ceremony").expect("a ceremony");
            }
        }
        assert_eq!(post(&thief, "/sign-in/passkey/answer", &mixed).await.status, 422, "another question");
        let used = club.browser();
        assert_eq!(post(&used, "/sign-in/passkey/answer", &answered).await.status, 303);
        assert!(is_in(&used).await);
        assert_eq!(post(&thief, "/sign-in/passkey/answer", &answered).await.status, 422, "a second time");

        // A question that was asked too long ago; a member who was shut out; a device that does not ask who holds it.
        for (ending, unverified) in [
            ("update passkey_ceremonies set expires_at = now() - interval '1 second'", false),
            ("update members set disabled_at = now() where name = 'Ada'", false),
            ("update members set disabled_at = null", true),
        ] {
            page.devtools("WebAuthn.setUserVerified", json!({ "authenticatorId": device, "isUserVerified": !unverified })).await;
            page.open("/sign-in").await;
            page.press_to("Sign in with a passkey").await;
            if unverified {
                change(club, ending).await;
                page.press("Use a passkey").await;
                page.until("!document.querySelector('[data-passkey-declined]').hidden").await;
                continue;
            }
            let answered = answer_unsent(&page, "Use a passkey").await;
            change(club, ending).await;
            assert_eq!(post(&thief, "/sign-in/passkey/answer", &answered).await.status, 422, "{ending}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn without_script_the_pages_say_so_and_lead_on() {
    let club = club_at_rest(AT_HOME).await;
    a_member().of(&club).await;
    in_chromium(&club, |page| async move {
        page.without_script().await;
        page.open("/sign-in").await;
        page.press_to("Sign in with a passkey").await;
        let words = page.words().await;
        assert!(
            words.contains("This browser cannot use passkeys here"),
            "{words}"
        );
        assert!(!words.contains("Your device asks"), "{words}");
        page.press_to("With name and password").await;
        assert_eq!(page.heading().await, "Sign in");
    })
    .await;
}

#[tokio::test]
async fn at_a_number_or_over_plain_http_there_are_none_and_the_page_says_why() {
    for url in ["http://127.0.0.1:{port}", "http://mead.example"] {
        let club = club_at_rest(&[("MUSTWRIGHT_BASE_URL", url)]).await;
        let ada = a_member().of(&club).await;
        let browser = club.browser_of(&ada).await;
        let page = browser.get("/second-step").await;
        assert!(
            page.text.contains("browsers want https, and a name"),
            "{}",
            page.text
        );
        assert!(!page.has_button("Make a passkey"));
        let fields = [("passkey_name", "phone")];
        assert_eq!(
            browser.post("/second-step/passkeys", &fields).await.status,
            404
        );
        let stranger = club.browser();
        assert!(
            !stranger
                .get("/sign-in")
                .await
                .has_button("Sign in with a passkey")
        );
        assert_eq!(stranger.post("/sign-in/passkey", &[]).await.status, 404);
    }
}

#[tokio::test]
async fn odd_answers_are_refused_and_asking_is_slowed_down() {
    let club = club_at_rest(&[("MUSTWRIGHT_BASE_URL", "https://mead.example")]).await;
    let browser = club.browser();
    for (ceremony, credential) in [("", ""), ("nothing", "{}"), ("", "not json"), ("a", "[]")] {
        let asked = browser.post("/sign-in/passkey", &[]).await;
        let good = asked.hidden("ceremony").expect("a ceremony");
        let ceremony = if ceremony.is_empty() {
            good.as_str()
        } else {
            ceremony
        };
        let fields = [("ceremony", ceremony), ("credential", credential)];
        let page = browser.post("/sign-in/passkey/answer", &fields).await;
        assert_eq!(
            (page.status, page.heading().as_str()),
            (422, "Sign in"),
            "{credential}"
        );
    }
    let mut statuses = Vec::new();
    for _ in 0..20 {
        statuses.push(browser.post("/sign-in/passkey", &[]).await.status);
    }
    assert!(statuses.contains(&429), "{statuses:?}");
}

#[tokio::test]
async fn a_passkey_needs_a_name() {
    let club = club_at_rest(&[("MUSTWRIGHT_BASE_URL", "https://mead.example")]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let long = "a".repeat(61);
    for name in ["", "   ", long.as_str()] {
        let page = browser.get("/second-step").await;
        let labelled = [("Name of the new passkey", name)];
        let again = browser.submit(&page, "Make a passkey", &labelled).await;
        assert_eq!(again.status, 422, "{name}");
        assert_ne!(again.fault("Name of the new passkey"), "");
        assert_eq!(again.value("Name of the new passkey"), name);
    }
}
