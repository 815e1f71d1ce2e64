//! Recipes over HTTP, as a browser without script sees them.

mod advice;
mod any_text;
mod beware;
mod changes;
mod copies;
mod documents;
mod drafts;
mod every_field;
mod faults;
mod fillers;
mod for_a_day;
mod import;
mod lineage;
mod links;
mod lists;
mod lost_text;
mod mixing_day;
mod numbers;
mod opinions;
mod own_entries;
mod pairings;
mod problems;
mod questions;
mod revisions;
mod round_trip;
mod rows;
mod scale;
mod sheet;
mod shopping;
mod starters;
mod swap;
mod taking_over;
mod thousand;
mod typed_units;
mod water;
mod workbench;

use std::collections::BTreeSet;

use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::recipe::Recipe;
use mustwright::recipes::forms::check::{Checked, check as check_with};
use mustwright::recipes::forms::{Workbench, fill as filling};
use mustwright::web::units::Units;
use mustwright::web::viewer::Settings;
use scraper::{Html, Selector};

use crate::support::{Browser, Club, Page, Person, a_member};

const NEW: &str = "/recipes/new";
const LIVE: &str = "/recipes/workbench";
const VOLUME: &str = "Volume of must, in litres or gallons";
const STRENGTH: &str = "Strength, in percent by volume";
const SAVE: &str = "Save as revision 1";

/// A form checked in a club without entries of its own.
fn check(form: &Workbench, units: Units) -> Checked {
    check_with(form, units, &ClubCatalogue::default())
}

/// The form of a document in such a club.
fn filled(recipe: &Recipe, units: Units) -> Workbench {
    filling::fill(recipe, units, &ClubCatalogue::default())
}

/// A club with Ada in it, signed in.
async fn a_club() -> (Club, Person, Browser) {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    (club, ada, browser)
}

/// Another member of the club, signed in.
async fn another(club: &Club, name: &str, units: Units) -> Browser {
    let settings = Settings {
        units,
        ..Settings::default()
    };
    let person = a_member().named(name).with(settings).of(club).await;
    club.browser_of(&person).await
}

/// Saves a new recipe with these texts in its form; gives the path of its sheet.
pub async fn saved(browser: &Browser, labelled: &[(&str, &str)]) -> String {
    let form = browser.get(NEW).await;
    let done = browser.submit(&form, SAVE, labelled).await;
    sheet_of(&done)
}

/// The path of the sheet to which a save leads.
pub fn sheet_of(done: &Page) -> String {
    let to = done
        .location()
        .unwrap_or_else(|| panic!("{}: {}", done.status, done.text));
    to.split('?').next().expect("a path").to_owned()
}

/// Saves the next revision of a recipe of one's own.
async fn edited(browser: &Browser, sheet: &str, number: u32, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get(&format!("{sheet}/edit")).await;
    let button = format!("Save as revision {number}");
    browser.submit(&form, &button, labelled).await
}

/// What is typed, sent as the script sends it.
async fn live(browser: &Browser, club: &Club, page: &Page, labelled: &[(&str, &str)]) -> Page {
    live_with(browser, club, page, labelled, &[]).await
}

/// The same with these hidden fields changed.
async fn live_with(
    browser: &Browser,
    club: &Club,
    page: &Page,
    labelled: &[(&str, &str)],
    hidden: &[(&str, &str)],
) -> Page {
    let (_, mut fields) = page.filled("Recalculate", labelled);
    for (name, value) in hidden {
        fields.retain(|(field, _)| field != name);
        fields.push(((*name).to_owned(), (*value).to_owned()));
    }
    let request = browser
        .request(reqwest::Method::POST, LIVE)
        .header("origin", club.app.site.origin())
        .header("x-live", "1")
        .form(&fields);
    browser.send(request).await
}

/// Fields of a form as they are posted, without a change.
fn as_pairs(fields: &[(String, String)]) -> Vec<(&str, &str)> {
    fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect()
}

/// What stands in a region that follows edits.
fn region(page: &Page, name: &str) -> String {
    page.words_of(&format!("[data-live-region=\"{name}\"]"))
        .unwrap_or_else(|| panic!("no region {name}: {}", page.text))
}

/// The values of an attribute of everything that has it.
fn attributes(page: &Page, name: &str) -> BTreeSet<String> {
    let html = Html::parse_document(&page.text);
    let selector = Selector::parse(&format!("[{name}]")).expect("a selector");
    html.select(&selector)
        .filter_map(|found| found.value().attr(name).map(str::to_owned))
        .collect()
}

/// The words of everything that a selector finds.
pub fn all_words(page: &Page, css: &str) -> Vec<String> {
    let html = Html::parse_document(&page.text);
    let selector = Selector::parse(css).expect("a selector");
    html.select(&selector)
        .map(|found| {
            let text: String = found.text().collect();
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        })
        .collect()
}

/// How many rows a table has.
async fn count(club: &Club, sql: &'static str) -> i64 {
    sqlx::query_scalar(sql)
        .fetch_one(club.pool())
        .await
        .expect("a count")
}
