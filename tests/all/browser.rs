//! The club in Chromium: the main journey with and without script, drafts, and every page as it looks and behaves.

mod batch;
mod crawl;
mod drafts;
mod entering;
mod every_page;
mod journey;
mod judging;
mod keyboard;
mod labels;
mod live;
mod newcomer;
mod organising;
mod paper;
mod results;
mod tasting;
mod without_script;

use mustwright::members::links::store;

use crate::support::{Chromium, Club, PASSWORD};

const VOLUME: &str = "Volume of must, in litres or gallons";
const STRENGTH: &str = "Strength, in percent by volume";
const OTHER_VOLUME: &str = "Make it for, a volume of must";

/// The path of the one-time link that sets up the keeper.
async fn set_up_path(club: &Club) -> String {
    let mut conn = club.pool().acquire().await.expect("a connection");
    let token = store::make_link(&mut conn, None).await.expect("a link");
    format!("/set-up/{token}")
}

/// From the one-time link to the first page, as the keeper.
async fn set_up(page: &Chromium, path: &str) {
    page.open(path).await;
    page.put("Your name", "Wren Ashby").await;
    page.put("Password", PASSWORD).await;
    page.put("The same password again", PASSWORD).await;
    page.press_to("Set up").await;
    assert_eq!(page.heading().await, "Welcome, Wren Ashby");
}

/// Signs in by the form.
async fn sign_in(page: &Chromium, name: &str) {
    page.open("/sign-in").await;
    page.put("Name", name).await;
    page.put("Password", PASSWORD).await;
    page.press_to("Sign in").await;
    assert_eq!(page.heading().await, format!("Welcome, {name}"));
}

/// What the numbers say of one thing, such as "strength".
async fn number(page: &Chromium, of: &str) -> String {
    page.words_of(&format!("#how-{of} strong")).await
}

/// The amount of water on a sheet.
async fn water(page: &Chromium) -> String {
    page.tell("words([...document.querySelectorAll('tbody tr')].find(e => words(e).startsWith('Water')).querySelector('td'))")
        .await
}

/// Signs out and goes back: nothing of the recipe is there any more.
async fn leaves_nothing_behind(page: &Chromium, secret: &str) {
    assert!(
        page.words().await.contains(secret),
        "{}",
        page.state().await
    );
    page.press_to("Sign out").await;
    for _ in 0..3 {
        page.driver.back().await.expect("the page before");
        page.until("document.readyState === 'complete'").await;
        let shown = page.state().await;
        assert!(!shown.contains(secret), "{shown}");
        assert!(!shown.contains("Sign out"), "{shown}");
    }
}
