//! Doors that a password opens: none of them leads past the second step.

use mustwright::config::Config;
use mustwright::members::links::store::{let_take_second_step, make_link};

use super::{CODE, club_at_rest, count, is_in, set_up_app};
use crate::support::{Club, PASSWORD, Page, Person, a_keeper, a_member};

const NEW: &str = "four geese tumble past the weir";

async fn renew(club: &Club, person: &Person, lost: bool) -> (crate::support::Browser, Page) {
    let mut conn = club.pool().acquire().await.expect("a connection");
    let token = make_link(&mut conn, Some(person.id)).await.expect("a link");
    if lost {
        let_take_second_step(&mut conn, &token).await.expect("done");
    }
    drop(conn);
    let browser = club.browser();
    let page = browser.get(&format!("/new-password/{token}")).await;
    assert_eq!(page.text.contains("takes your second step away"), lost);
    let labelled = [("New password", NEW), ("The same password again", NEW)];
    let done = browser
        .submit(&page, "Set the new password", &labelled)
        .await;
    (browser, done)
}

#[tokio::test]
async fn a_link_for_a_new_password_keeps_the_second_step() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (phone, _) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let (browser, done) = renew(&club, &ada, false).await;
    assert_eq!(done.location(), Some("/sign-in/step"), "{}", done.text);
    assert!(!is_in(&browser).await);
    let page = browser.follow(done).await;
    let done = browser
        .submit(&page, "Go on", &[(CODE, &phone.code(&club))])
        .await;
    assert_eq!(done.status, 303);
    assert!(is_in(&browser).await);
}

#[tokio::test]
async fn a_link_from_the_command_line_takes_it_away_when_it_is_lost() {
    let club = club_at_rest(&[("MUSTWRIGHT_SECOND_FACTOR", "organisers-and-keepers")]).await;
    let wren = a_keeper().of(&club).await;
    let (_, codes) = set_up_app(&club, &club.browser_of(&wren).await).await;
    assert_eq!(codes.len(), 10);
    let (browser, done) = renew(&club, &wren, true).await;
    assert_eq!(done.location(), Some("/second-step"), "{}", done.text);
    let page = browser.follow(done).await;
    assert!(page.text.contains("from the command line"), "{}", page.text);
    assert!(page.text.contains("A keeper of this club needs one."));
    assert_eq!(
        browser.get("/").await.location(),
        Some("/second-step"),
        "another is demanded"
    );
    for rows in [
        "select count(*) from code_apps",
        "select count(*) from recovery_codes",
    ] {
        assert_eq!(count(&club, rows).await, 0);
    }
    set_up_app(&club, &browser).await;
    assert_eq!(browser.get("/").await.status, 200);
    assert!(!browser.get("/settings").await.text.contains("Taken away"));
}

#[tokio::test]
async fn the_command_says_what_its_link_does() {
    let club = club_at_rest(&[]).await;
    a_keeper().of(&club).await;
    let values = [("DATABASE_URL".to_owned(), club.database.urls().0)];
    let config = Config::from_values(values.into_iter().collect()).expect("settings");
    let database = mustwright::database::Database::attach(&config).expect("a database");
    for (lost, words) in [
        (false, "A new password for Wren"),
        (true, "without the second step"),
    ] {
        let said = mustwright::serve::keeper_link(&config, &database, None, lost).await;
        assert!(said.expect("a link").contains(words));
        let sql = "select count(*) from one_time_links where takes_second_step";
        assert_eq!(count(&club, sql).await, i64::from(lost));
    }
}

#[tokio::test]
async fn a_form_of_joining_that_is_sent_again_leads_to_the_second_step() {
    let club = club_at_rest(&[]).await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let page = keeper.get("/keeper/invites").await;
    let made = keeper.submit(&page, "Make the invite", &[]).await;
    let link = made.words_of("p.code").expect("a link");
    let path = link
        .strip_prefix(club.app.site.origin())
        .expect("ours")
        .to_owned();
    let browser = club.browser();
    let fields = [
        ("name", "Bert"),
        ("new_password", PASSWORD),
        ("new_password_again", PASSWORD),
        ("units", "metric"),
    ];
    assert_eq!(
        browser.post(&path, &fields).await.location(),
        Some("/welcome")
    );
    set_up_app(&club, &browser).await;
    let other = club.browser();
    let again = other.post(&path, &fields).await;
    assert_eq!(
        again.location(),
        Some("/sign-in/step?next=/welcome"),
        "{}",
        again.text
    );
    assert!(!is_in(&other).await);
}
