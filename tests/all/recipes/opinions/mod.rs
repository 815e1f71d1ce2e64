//! What members think of recipes: ratings, comments, and who sees which.

mod comments;
mod inert;
mod ratings;
mod seen;

use mustwright::recipes::public_id::PublicId;
use mustwright::web::units::Units;

use super::{a_club, another, saved};
use crate::support::{Browser, Club, Page};

const FIVE: &str = "5: I would make it again and again";
const FOUR: &str = "4: very good";
const MADE: &str = "I made it";
const READ: &str = "I have only read it";
const POST: &str = "Post the comment";
const WORDS: &str = "Your words";

/// Ada's recipe that the club sees, her browser and that of Bo.
async fn a_shared_recipe() -> (Club, Browser, Browser, String) {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Shared"), ("Who may see it", "club")]).await;
    let bo = another(&club, "Bo", Units::Metric).await;
    (club, ada, bo, sheet)
}

/// Rates what a page shows.
async fn rate(browser: &Browser, sheet: &str, chosen: &[&str]) -> Page {
    let page = browser.get(sheet).await;
    let button = ["Rate revision 1", "Rate revision 2", "Change to this"]
        .into_iter()
        .find(|button| page.has_button(button))
        .unwrap_or_else(|| panic!("nothing to rate with: {}", page.text));
    let chosen: Vec<(&str, &str)> = chosen.iter().map(|label| (*label, "")).collect();
    browser.submit(&page, button, &chosen).await
}

/// Writes a comment on what a page shows, and follows where that leads.
async fn comment(browser: &Browser, sheet: &str, words: &str) -> Page {
    let page = browser.get(sheet).await;
    let done = browser.submit(&page, POST, &[(WORDS, words)]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    browser.follow(done).await
}

/// The ids of the comments of a page, from the first to the last.
fn comments_of(page: &Page) -> Vec<String> {
    let ids = page.text.split("<li id=\"comment-").skip(1);
    ids.map(|rest| rest[..20].to_owned()).collect()
}

/// The public id in the path of a sheet.
fn id_of(sheet: &str) -> PublicId {
    let id = sheet.rsplit('/').next().expect("an id");
    id.parse().expect("a public id")
}
