//! A batch from its start to the bottle, by its plan alone: in Chromium, and by forms without script.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use mustwright::web::grant::Grant;

use super::crawl::Crawl;
use super::sign_in;
use crate::batches::calendar::by_one;
use crate::batches::plan::{did, next_steps};
use crate::batches::{a_maker, started};
use crate::recipes::all_words;
use crate::support::{Browser, Club, in_chromium};

const NOW: &str = "2026-11-28T18:00:00Z";
/// More steps than these no plan has.
const MOST: usize = 90;

/// The gravity behind some words: "it should read 1.062".
fn gravity_behind(words: &str, text: &str) -> Option<String> {
    let behind = text.split(words).nth(1)?;
    Some(behind.trim().chars().take(5).collect())
}

/// What a maker writes at a step: labels and texts.
fn written(name: &str, page: &str) -> Vec<(&'static str, String)> {
    let gravity = |text: Option<String>| vec![("Gravity", text.expect("a gravity"))];
    match name {
        "Mix the must" | "Read the one-third break" => {
            gravity(gravity_behind("it should read", page))
        }
        "Does it stand still?" | "Read it again" => {
            let mut typed = gravity(gravity_behind("it should read", page));
            typed.push(("Temperature of the mead itself", "20 °C".to_owned()));
            typed.push(("The gas was stirred out of the sample", String::new()));
            typed
        }
        "Measure the pH" => vec![("pH", "3.5".to_owned())],
        "Taste" => vec![(
            "What it tastes like",
            "Heather, and a little hot.".to_owned(),
        )],
        _ => Vec::new(),
    }
}

/// The calendar of the maker, as a foreign program reads it: begin of each event by the step's address.
async fn calendar(reader: &Browser, feed: &str) -> BTreeMap<String, String> {
    let page = reader.get(feed).await;
    let events = by_one(&page.text).into_iter();
    events
        .map(|(uid, (_, begins, _, _))| (uid, begins))
        .collect()
}

/// An instant at which that begins; of a day, its evening.
fn instant(begins: &str) -> DateTime<Utc> {
    match NaiveDate::parse_from_str(begins, "%Y%m%d") {
        Ok(day) => day
            .and_time(NaiveTime::from_hms_opt(18, 0, 0).unwrap())
            .and_utc(),
        Err(_) => chrono::NaiveDateTime::parse_from_str(begins, "%Y%m%dT%H%M%SZ")
            .expect("an instant")
            .and_utc(),
    }
}

/// Moves the clock on to when a step is due, as the calendar has it; never back.
async fn wait_for(club: &Club, reader: &Browser, feed: &str, step: &str) {
    let (batch, key) = step.split_once("/plan/").expect("a step");
    let id = batch.rsplit('/').next().expect("an id");
    let begins = calendar(reader, feed).await;
    let at = begins
        .iter()
        .find(|(uid, _)| uid.starts_with(&format!("{id}-{key}@")));
    if let Some((_, begins)) = at {
        let now = club.app.clock.now();
        club.app.clock.move_to(instant(begins).max(now));
    }
}

#[tokio::test]
async fn from_the_start_to_the_bottle_without_script() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let token = club.token_of(&person, Grant::Calendar).await;
    let (reader, feed) = (club.browser(), format!("/calendar/{token}.ics"));
    let mut done = Vec::new();
    while done.last().is_none_or(|name| name != "Bottle") {
        assert!(done.len() < MOST, "{done:?}");
        let sheet = ada.get(&batch).await;
        let (name, step) = next_steps(&sheet).into_iter().next().expect("a next step");
        wait_for(&club, &reader, &feed, &step).await;
        let page = ada.get(&step).await;
        let typed = written(&name, &page.words_of("main").unwrap_or_default());
        let typed: Vec<(&str, &str)> = typed.iter().map(|(l, t)| (*l, t.as_str())).collect();
        if name == "Bottle" {
            assert_eq!(
                page.link("Fill it: gas, bottles, labels"),
                Some(format!("{batch}/bottling"))
            );
            assert!(!page.has_button("Done"), "bottles are counted on one page");
            let form = ada.get(&format!("{batch}/bottling")).await;
            assert!(!form.text.contains("It may still ferment"), "{}", form.text);
            let done = ada.submit(&form, "It is filled: write it down", &[]).await;
            assert_eq!(done.status, 303, "{}", done.text);
        } else {
            did(&ada, &step, &typed).await;
        }
        done.push(name);
    }
    let cellar = ada.get("/cellar").await;
    assert!(cellar.text.contains("Heather"), "{}", cellar.text);
    let order = [
        "Mix the must",
        "Pitch the yeast",
        "Feed 1",
        "Read the one-third break",
        "Rack off the lees",
        "Read it again",
        "Bottle",
    ];
    let places: Vec<Option<usize>> = order
        .iter()
        .map(|name| done.iter().position(|one| one == name))
        .collect();
    assert!(
        places.iter().all(Option::is_some) && places.is_sorted(),
        "{done:?}"
    );
    let sheet = ada.get(&batch).await;
    let logged = all_words(&sheet, ".log h3");
    for words in [
        "Mixed",
        "Yeast pitched",
        "Fed",
        "Gas stirred out",
        "Racked",
        "Filled into bottles",
    ] {
        assert!(logged.iter().any(|one| one == words), "{words}: {logged:?}");
    }
    // It took months, and only tasting is left.
    assert!(
        club.app.clock.now() > NOW.parse::<DateTime<Utc>>().unwrap() + chrono::TimeDelta::days(60)
    );
    let left = next_steps(&sheet);
    assert!(left.iter().all(|(name, _)| name == "Taste"), "{left:?}");
    assert!(ada.get("/batches?shelf=done").await.text.contains(&batch));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn from_the_start_to_the_bottle_in_chromium() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let token = club.token_of(&person, Grant::Calendar).await;
    let (reader, feed) = (club.browser(), format!("/calendar/{token}.ics"));
    let app = club.app.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut done: Vec<String> = Vec::new();
        while done.last().is_none_or(|name| name != "Bottle") {
            assert!(done.len() < MOST, "{done:?}");
            page.open(&batch).await;
            let name = page.words_of(".next h3 a").await;
            let step = page
                .tell("document.querySelector('.next h3 a').getAttribute('href')")
                .await;
            let (_, key) = step.split_once("/plan/").expect("a step");
            let id = batch.rsplit('/').next().expect("an id");
            let begins = calendar(&reader, &feed).await;
            let mut known = begins.iter();
            if let Some((_, at)) = known.find(|(uid, _)| uid.starts_with(&format!("{id}-{key}@"))) {
                app.clock.move_to(instant(at).max(app.clock.now()));
            }
            page.driver.refresh().await.expect("the page again");
            let quick = format!("Done: {name}");
            let has_quick = page
                .tell(&format!(
                    "[...document.querySelectorAll('.next button')].some(e => words(e) === {})",
                    serde_json::json!(quick)
                ))
                .await;
            if has_quick == "true" {
                page.press_to(&quick).await;
            } else {
                page.press_to(&name).await;
                if name == "Bottle" {
                    page.press_to("Fill it: gas, bottles, labels").await;
                    page.press_to("It is filled: write it down").await;
                    done.push(name);
                    break;
                }
                for (label, text) in written(&name, &page.words().await) {
                    match text.as_str() {
                        "" => page.field(label).await.click().await.expect("a tick"),
                        text => page.put(label, text).await,
                    }
                }
                page.press_to("Done").await;
            }
            assert!(
                page.words().await.contains("Done. What comes next"),
                "{}",
                page.state().await
            );
            done.push(name);
        }
        page.open(&batch).await;
        assert!(page.words().await.contains("Filled into bottles"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_the_plan_are_for_everybody() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    for step in ["mix", "pitch"] {
        did(&ada, &format!("{batch}/plan/{step}"), &[]).await;
    }
    let app = club.app.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&batch, 200).await;
        crawl.open(&format!("{batch}/plan"), 200).await;
        for step in ["mix", "feed-1", "rack-1"] {
            crawl.open(&format!("{batch}/plan/{step}"), 200).await;
        }
        crawl.open(&format!("{batch}/plan/break"), 200).await;
        page.press_to("Done").await;
        crawl.look("a step with faults", 422).await;
        app.clock.move_to("2026-12-08T18:00:00Z".parse().unwrap());
        crawl.open(&batch, 200).await;
        crawl.open("/", 200).await;
    })
    .await;
}
