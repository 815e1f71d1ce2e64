//! What is said just after an entry was written, and what the page of the log expects before.

use super::{a_maker, started};
use crate::support::{Browser, Club, Page};

async fn logged(browser: &Browser, path: &str, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get(path).await;
    let done = browser.submit(&form, "Write it down", labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    browser.follow(done).await
}

/// The two ends of the range on the page of the log.
fn range(page: &Page) -> (f64, f64) {
    let at = page.text.find("About now ").expect("a range") + 10;
    let (words, _) = page.text[at..].split_once(" is expected").expect("its end");
    let (low, high) = words.split_once('–').unwrap_or((words, words));
    (low.parse().expect("low"), high.parse().expect("high"))
}

/// A batch whose yeast went in, three days on.
async fn working(club: &Club, ada: &Browser, recipe: &str) -> String {
    let batch = started(ada, recipe, &[]).await;
    let log = format!("{batch}/log");
    let before = ada.get(&log).await;
    assert!(!before.text.contains("About now"), "no yeast yet");
    assert!(
        before.text.contains("Today is Saturday 28 November 2026."),
        "{}",
        before.text
    );
    logged(ada, &format!("{log}/mixed"), &[]).await;
    logged(ada, &format!("{log}/pitch"), &[]).await;
    club.app
        .clock
        .move_to("2026-12-01T18:00:00Z".parse().unwrap());
    batch
}

#[tokio::test]
async fn a_gravity_in_its_range_is_on_course_and_the_next_step_follows() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = working(&club, &ada, &recipe).await;
    let log = format!("{batch}/log");
    let (low, high) = range(&ada.get(&log).await);
    assert!((1.0..high).contains(&low), "{low} to {high}");
    let middle = format!("{:.3}", (low + high) / 2.0);
    let sheet = logged(&ada, &log, &[("Gravity", &middle)]).await;
    let said = sheet.words_of(".flash").unwrap();
    let course = format!("{middle} is on course ({low:.3}–{high:.3} was expected).");
    assert!(said.starts_with(&course), "{said}");
    assert!(said.contains(" now") || said.contains("Next: "), "{said}");
}

#[tokio::test]
async fn what_was_fed_is_answered_with_what_comes_next() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = working(&club, &ada, &recipe).await;
    let sheet = logged(&ada, &format!("{batch}/log/feed"), &[]).await;
    let said = sheet.words_of(".flash").unwrap();
    assert!(said.starts_with("Fed: written into the log."), "{said}");
    assert!(said.contains(" now") || said.contains("Next: "), "{said}");
}

#[tokio::test]
async fn a_doubtful_gravity_is_said_not_to_count() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = working(&club, &ada, &recipe).await;
    let log = format!("{batch}/log");
    let (low, _) = range(&ada.get(&log).await);
    logged(&ada, &log, &[("Gravity", &format!("{low:.3}"))]).await;
    let fell = format!("{:.3}", low - 0.03);
    let sheet = logged(&ada, &log, &[("Gravity", &fell)]).await;
    let said = sheet.words_of(".flash").unwrap();
    assert!(said.contains("something is asked about it"), "{said}");
    let asked = sheet.words_of("main > .caution.watch").unwrap_or_default();
    assert!(asked.contains("So fast?"), "{asked}");
    let rose = format!("{:.3}", low + 0.06);
    let sheet = logged(&ada, &log, &[("Gravity", &rose)]).await;
    let said = sheet.words_of(".flash").unwrap();
    assert!(said.contains("does not count for now"), "{said}");
    let asked = sheet.words_of("main > .caution.watch").unwrap_or_default();
    assert!(asked.contains(&rose), "{asked}");
}
