//! Vessels, instruments and what the club lends, over HTTP, as a browser without script sees them.

mod instruments;
mod lending;
mod own;

use mustwright::web::units::Units;
use mustwright::web::viewer::Settings;

use crate::support::{Browser, Club, Page, a_member};

/// A club with Ada in it, signed in.
async fn a_club() -> (Club, Browser) {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    (club, ada)
}

/// Another member, signed in.
async fn another(club: &Club, name: &str, units: Units) -> Browser {
    let settings = Settings {
        units,
        ..Settings::default()
    };
    let person = a_member().named(name).with(settings).of(club).await;
    club.browser_of(&person).await
}

/// Adds a vessel; the page that answers.
pub async fn adds(browser: &Browser, typed: &[(&str, &str)]) -> Page {
    let form = browser.get("/vessels/new").await;
    browser.submit(&form, "Save the vessel", typed).await
}

/// Adds a vessel that is sound; the address of its form.
pub async fn vessel(browser: &Browser, typed: &[(&str, &str)]) -> String {
    let done = adds(browser, typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let list = browser.follow(done).await;
    let name = typed.iter().find(|(label, _)| *label == "Name");
    list.link(name.expect("a name").1).expect("its form")
}
