//! The second step of a sign-in: codes from an app, recovery codes, passkeys, and whom the club demands one of.

mod codes;
mod hold;
mod keeper;
mod links;
mod passkeys;
mod proof;
mod recovery;

use chrono::{DateTime, TimeDelta};
use mustwright::members::second::codes::Key;
use sqlx::Row;

use crate::support::{Browser, Club, PASSWORD, Page, Person};

/// The field of the code from an app.
const CODE: &str = "Code from your app";

/// A club whose clock stands still.
async fn club_at_rest(settings: &[(&str, &str)]) -> Club {
    let instant = DateTime::from_timestamp(1_800_000_000, 0).expect("an instant");
    Club::standing_at(instant, settings).await
}

/// Moves the clock on by so many steps of 30 seconds.
fn wait_steps(club: &Club, steps: i64) {
    let later = club.app.clock.now() + TimeDelta::seconds(30 * steps);
    club.app.clock.move_to(later);
}

/// A member's app.
struct Phone {
    key: Key,
}

impl Phone {
    /// What it shows now.
    fn code(&self, club: &Club) -> String {
        self.key.code_at(club.app.clock.now().timestamp())
    }
}

/// Sets codes from an app up, from the page of the second step to the recovery codes.
async fn set_up_app(club: &Club, browser: &Browser) -> (Phone, Vec<String>) {
    let page = browser.get("/second-step").await;
    let begun = browser.submit(&page, "Set up codes from an app", &[]).await;
    assert_eq!(begun.location(), Some("/second-step/app"), "{}", begun.text);
    let page = browser.follow(begun).await;
    assert_eq!(page.heading(), "Codes from an app", "{}", page.text);
    let row = sqlx::query("select secret from code_apps_begun")
        .fetch_one(club.pool())
        .await
        .expect("one key is shown");
    let key = Key::of(row.get(0), "Club", "Ada").expect("a key");
    assert_eq!(page.words_of(".key"), Some(key.spoken()));
    let phone = Phone { key };
    let code = phone.code(club);
    let page = browser
        .submit(&page, "Use this app", &[(CODE, &code)])
        .await;
    assert_eq!(page.heading(), "Recovery codes", "{}", page.text);
    wait_steps(club, 1);
    let codes = page.words_of(".codes").expect("the codes");
    (phone, codes.split(' ').map(str::to_owned).collect())
}

/// Name and password, up to the page of the second step.
async fn half_way(club: &Club, person: &Person) -> (Browser, Page) {
    let browser = club.browser();
    let asked = browser.sign_in(&person.name, PASSWORD).await;
    assert_eq!(asked.location(), Some("/sign-in/step"), "{}", asked.text);
    let page = browser.follow(asked).await;
    assert_eq!(page.heading(), "The second step", "{}", page.text);
    (browser, page)
}

/// Whether the browser is in.
async fn is_in(browser: &Browser) -> bool {
    browser.get("/settings").await.status == 200
}

async fn count(club: &Club, sql: &'static str) -> i64 {
    sqlx::query_scalar(sql)
        .fetch_one(club.pool())
        .await
        .expect("a number")
}

async fn change(club: &Club, sql: &'static str) {
    let mut owner = club.database.owner().await;
    sqlx::query(sql).execute(&mut owner).await.expect(sql);
}
