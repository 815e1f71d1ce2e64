//! Batches: how they start, who sees them, what is written into their logs.

mod ageing;
mod answers;
mod blending;
pub mod bottling;
pub mod calendar;
mod cellar;
mod compare;
mod corrections;
mod deeds;
mod figures;
mod files;
mod finishing;
mod known;
mod labels;
mod log;
mod minutes;
mod outlook;
mod own;
mod pictures;
pub mod plan;
mod series;
mod stabilising;
mod start;
mod trials;
mod trouble;

use mustwright::batches::model::NewEntry;
use mustwright::batches::store;
use mustwright::engine::log::Deed;
mod kept;
mod kills;
mod parting;
mod sensors;
mod table;

use crate::recipes::saved;
use crate::support::{Browser, Club, Person, a_member};

/// A member with a recipe that the club sees; its address.
pub async fn a_maker(club: &Club, name: &str) -> (Person, Browser, String) {
    let person = a_member().named(name).of(club).await;
    let browser = club.browser_of(&person).await;
    let recipe = saved(
        &browser,
        &[("Name", "Heather, dry"), ("Who may see it", "club")],
    )
    .await;
    (person, browser, recipe)
}

/// Starts a batch of a recipe; its address.
pub async fn started(browser: &Browser, recipe: &str, labelled: &[(&str, &str)]) -> String {
    let sheet = browser.get(recipe).await;
    let link = sheet.link("Start a batch").expect("the way to a batch");
    let form = browser.get(&link).await;
    let done = browser.submit(&form, "Start the batch", labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    address(done.location())
}

/// An address without its query.
pub fn address(location: Option<&str>) -> String {
    let location = location.expect("a place to go on");
    location.split('?').next().unwrap_or_default().to_owned()
}

/// Writes into a log what it needs no form for, so many hours after the mixing.
pub async fn wrote(club: &Club, by: &Person, batch: &str, hours: f64, deed: Deed) {
    let id = batch.rsplit('/').next().unwrap_or_default();
    let id = id.parse().expect("a public id");
    let mut conn = club.pool().acquire().await.expect("a connection");
    let found = store::find(&mut conn, Some(by.id), &id).await;
    let found = found.expect("an answer").expect("their batch");
    let at = found.at_hours(hours).expect("an instant");
    let entry = NewEntry::of(deed, at, by.id);
    store::add(&mut conn, found.id, &entry, at)
        .await
        .expect("it is written");
}
