//! The plan: what comes next, what becomes of a step, and that all of it stands in the log.

use std::collections::BTreeSet;

use chrono::{DateTime, TimeDelta, Utc};
use scraper::{Html, Selector};

use super::{a_maker, started};
use crate::recipes::all_words;
use crate::support::{Browser, Club, Page, a_member};

/// Saturday evening.
const NOW: &str = "2026-11-28T18:00:00Z";

/// Names and addresses of the steps that stand large.
pub fn next_steps(page: &Page) -> Vec<(String, String)> {
    let html = Html::parse_document(&page.text);
    let links = Selector::parse(".next > li > h3 a").expect("a selector");
    html.select(&links)
        .map(|link| {
            let href = link.value().attr("href").expect("an address");
            (link.text().collect(), href.to_owned())
        })
        .collect()
}

/// The words of what counts in the log, newest first.
fn log(page: &Page) -> Vec<String> {
    all_words(page, ".log > li:not(.struck) h3")
}

async fn one_that_starts(club: &Club) -> (Browser, String) {
    let (_, ada, recipe) = a_maker(club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    (ada, batch)
}

async fn a_club() -> Club {
    Club::standing_at(NOW.parse().unwrap(), &[]).await
}

/// Does a step as its page has it, with these fields besides.
pub async fn did(browser: &Browser, step: &str, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get(step).await;
    let done = browser.submit(&form, "Done", labelled).await;
    assert_eq!(done.status, 303, "{step}: {}", done.text);
    browser.follow(done).await
}

async fn pitched(browser: &Browser, batch: &str) {
    did(browser, &format!("{batch}/plan/mix"), &[]).await;
    did(browser, &format!("{batch}/plan/pitch"), &[]).await;
}

#[tokio::test]
async fn what_comes_next_stands_large_and_one_button_does_it() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let page = ada.get(&batch).await;
    let names: Vec<String> = next_steps(&page)
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert_eq!(names, ["Get ready", "Clean and sanitise", "Mix the must"]);
    let done = ada.submit(&page, "Done: Clean and sanitise", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = ada.submit(&page, "Done: Clean and sanitise", &[]).await;
    assert_eq!(again.location(), done.location(), "sent twice, done once");
    let page = ada.follow(done).await;
    assert_eq!(log(&page), ["Done: Clean and sanitise"]);
    let names: Vec<String> = next_steps(&page)
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert!(
        !names.contains(&"Clean and sanitise".to_owned()),
        "{names:?}"
    );
    assert!(
        !page.has_button("Done: Mix the must"),
        "it asks what was read"
    );
}

#[tokio::test]
async fn a_feed_that_is_done_stands_in_the_log_with_its_grams_and_can_be_taken_back() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    pitched(&ada, &batch).await;
    club.app
        .clock
        .move_to("2026-11-29T18:00:00Z".parse().unwrap());
    let step = format!("{batch}/plan/feed-1");
    let form = ada.get(&step).await;
    let label = all_words(&form, "label[for=much-0]").remove(0);
    let planned = form.value(&label);
    assert!(planned.ends_with(" g") && planned != "0 g", "{planned}");
    let page = did(&ada, &step, &[(&label, "3.5 g")]).await;
    assert_eq!(log(&page)[..2], ["Done: Feed 1", "Fed"]);
    assert!(
        page.text.contains(&format!("3.5 g of {label}")),
        "{}",
        page.text
    );
    let step_page = ada.get(&step).await;
    assert!(step_page.words_of(".lead").unwrap().contains("done today"));
    assert!(!step_page.has_button("Done"));
    let back = ada.submit(&step_page, "Take it back", &[]).await;
    assert_eq!(back.status, 303, "{}", back.text);
    let page = ada.follow(back).await;
    assert!(
        !log(&page).iter().any(|words| words == "Fed"),
        "{}",
        page.text
    );
    assert!(page.text.contains("Taken out: it counts no more."));
    assert!(ada.get(&step).await.has_button("Done"), "it is open again");
}

#[tokio::test]
async fn a_feed_that_was_only_logged_counts_for_the_plan() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    pitched(&ada, &batch).await;
    let id = batch.rsplit('/').next().unwrap();
    let mut owner = club.database.owner().await;
    sqlx::query(
        "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data)
         select b.id, 90, 1, 'feed', $2, $2, b.owner_id, '{\"name\": \"Mixed feed\", \"grams\": 3}' from batches b
         where b.public_id = $1",
    )
    .bind(id)
    .bind(NOW.parse::<DateTime<Utc>>().unwrap() + TimeDelta::hours(24))
    .execute(&mut owner)
    .await
    .unwrap();
    club.app
        .clock
        .move_to("2026-11-29T19:00:00Z".parse().unwrap());
    let step = ada.get(&format!("{batch}/plan/feed-1")).await;
    assert!(
        step.words_of(".lead").unwrap().starts_with("done"),
        "{}",
        step.text
    );
}

#[tokio::test]
async fn leaving_out_wants_a_reason_and_another_day_is_kept() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let step = format!("{batch}/plan/prepare");
    let form = ada.get(&step).await;
    let again = ada.submit(&form, "Leave it out", &[]).await;
    assert_eq!(again.status, 422);
    assert!(!again.fault("Why").is_empty());
    let left = ada
        .submit(&form, "Leave it out", &[("Why", "All of it was there.")])
        .await;
    assert_eq!(left.status, 303, "{}", left.text);
    let page = ada.follow(left).await;
    assert_eq!(log(&page), ["Left out: Get ready"]);
    assert!(page.text.contains("All of it was there."));

    let step = format!("{batch}/plan/mix");
    let form = ada.get(&step).await;
    for day in ["", "soon", "2020-01-01"] {
        let again = ada.submit(&form, "Move it", &[("To which day", day)]).await;
        assert_eq!(again.status, 422, "{day}");
        assert!(!again.fault("To which day").is_empty(), "{day}");
        assert_eq!(again.value("To which day"), day);
    }
    let fields = [("To which day", "1 December"), ("At what time", "19:30")];
    let moved = ada.submit(&form, "Move it", &fields).await;
    assert_eq!(moved.status, 303, "{}", moved.text);
    let page = ada.get(&step).await;
    let lead = page.words_of(".lead").unwrap();
    assert_eq!(lead, "moved to Tuesday evening, about 19:30");
    // What comes after it waits too.
    let pitch = ada.get(&format!("{batch}/plan/pitch")).await;
    assert!(
        pitch.words_of(".lead").unwrap().contains("Tuesday"),
        "{}",
        pitch.text
    );
}

#[tokio::test]
async fn two_pages_of_one_step_do_it_once() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let step = format!("{batch}/plan/mix");
    let (one, other) = (ada.get(&step).await, ada.get(&step).await);
    assert_eq!(ada.submit(&one, "Done", &[]).await.status, 303);
    let late = ada.submit(&other, "Done", &[]).await;
    let told = ada.follow(late).await;
    assert!(
        told.text.contains("said of this step before"),
        "{}",
        told.text
    );
    assert_eq!(log(&ada.get(&batch).await), ["Done: Mix the must", "Mixed"]);
}

#[tokio::test]
async fn what_cannot_be_is_told_beside_its_field_and_nothing_is_written() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    pitched(&ada, &batch).await;
    for (step, label, text) in [
        ("break", "Gravity", ""),
        ("break", "Gravity", "very sweet"),
        ("break", "Day", "2199-01-01"),
        ("feed-1", "Time", "25:99"),
    ] {
        let step = format!("{batch}/plan/{step}");
        let form = ada.get(&step).await;
        let again = ada.submit(&form, "Done", &[(label, text)]).await;
        assert_eq!(again.status, 422, "{step} {label} {text}: {}", again.text);
        assert!(!again.fault(label).is_empty(), "{step} {label} {text}");
        assert_eq!(again.value(label), text);
    }
    assert_eq!(log(&ada.get(&batch).await).len(), 4);
}

#[tokio::test]
async fn each_step_and_each_entry_has_a_title_of_its_own() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    pitched(&ada, &batch).await;
    let plan = ada.get(&format!("{batch}/plan")).await;
    let step = format!("{batch}/plan/");
    let of_steps = plan.text.split('"').filter(|url| {
        let key = url.strip_prefix(&step).unwrap_or("/");
        !key.contains(['/', '#'])
    });
    let of_log = (1..=2).map(|number| format!("{batch}/log/entry/{number}"));
    let pages = of_steps
        .map(str::to_owned)
        .chain(of_log)
        .chain([batch.clone()]);
    let pages: BTreeSet<String> = pages.collect();
    let mut titles = BTreeSet::new();
    for page in &pages {
        let title = ada.get(page).await.words_of("title").unwrap();
        assert!(titles.insert(title.clone()), "{page}: {title}");
    }
    assert!(titles.len() > 12, "{titles:?}");
}

#[tokio::test]
async fn others_read_the_plan_and_change_nothing() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let page = bo.get(&batch).await;
    assert!(page.text.contains("Clean and sanitise"), "{}", page.text);
    assert!(!page.has_button("Done: Clean and sanitise") && next_steps(&page).is_empty());
    assert_eq!(bo.get(&format!("{batch}/plan")).await.status, 200);
    assert_eq!(bo.get(&format!("{batch}/plan/mix")).await.status, 404);
    let once = ada.get(&batch).await.hidden("once").unwrap();
    let stolen = bo
        .post(&format!("{batch}/plan/mix/done"), &[("once", &once)])
        .await;
    assert_ne!(stolen.status, 303);
    assert!(log(&ada.get(&batch).await).is_empty());
}

#[tokio::test]
async fn what_is_due_stands_on_the_first_page_of_its_maker_alone() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let home = ada.get("/").await;
    let step = home.link("Mix the must: Heather");
    assert_eq!(step, Some(format!("{batch}/plan/mix")), "{}", home.text);
    assert!(!bo.get("/").await.text.contains("Mix the must"));
    pitched(&ada, &batch).await;
    // Four days on nobody has read anything, and feeds were missed.
    club.app
        .clock
        .move_to("2026-12-02T18:00:00Z".parse().unwrap());
    let home = ada.get("/").await;
    assert!(home.link("Feed 1: Heather").is_some(), "{}", home.text);
    assert!(home.text.contains("was due"), "{}", home.text);
    // Stirring and feeding are one errand.
    assert!(home.link("Stir out the gas: Heather").is_none());
    assert!(
        home.text.contains("stir the gas out first"),
        "{}",
        home.text
    );
}

#[tokio::test]
async fn what_is_going_stands_on_the_first_page_with_the_way_to_its_log() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let home = ada.get("/").await;
    assert_eq!(home.link("Heather"), Some(batch.clone()), "{}", home.text);
    let log = home.link("Log a reading of Heather");
    assert_eq!(log, Some(format!("{batch}/log")));
    let older = ada.get("/?before=1.aaaaaaaaaaaaaaaaaaaa").await;
    assert!(older.link("Heather").is_none(), "older news stand alone");
}

#[tokio::test]
async fn the_plan_has_boxes_for_paper() {
    let club = a_club().await;
    let (ada, batch) = one_that_starts(&club).await;
    let page = ada.get(&format!("{batch}/plan")).await;
    let steps = all_words(&page, ".plan > li h3");
    let boxes = all_words(&page, ".plan > li .tick");
    assert!(steps.len() > 10 && steps.len() == boxes.len(), "{steps:?}");
    let room = all_words(&page, ".plan > li .write");
    assert_eq!(room.len(), steps.len());
    assert!(room.iter().any(|words| words == "Day Read at"), "{room:?}");
}

#[tokio::test]
async fn a_mead_that_was_going_already_is_not_asked_for_what_is_long_past() {
    let club = a_club().await;
    let ada = a_member().of(&club).await;
    let ada = club.browser_of(&ada).await;
    let form = ada.get("/batches/going").await;
    let fields = [
        ("What it is called", "Old one"),
        ("In the vessel since", "3 May"),
        ("How much there is", "4.5 L"),
        ("Gravity when it began", "1090"),
    ];
    let done = ada.submit(&form, "Take it in", &fields).await;
    let page = ada.get(&super::address(done.location())).await;
    for words in ["Feed 1", "Stir air in", "Get ready"] {
        assert!(!page.text.contains(words), "{words}");
    }
    let names: Vec<String> = next_steps(&page)
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert_eq!(
        names.first().map(String::as_str),
        Some("Does it stand still?"),
        "{names:?}"
    );
}
