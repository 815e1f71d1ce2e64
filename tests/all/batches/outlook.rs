//! What is to be expected of a batch: before anything is read, on course, and when it stands still.

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::batches::opened::{self, Opened};
use mustwright::batches::outlook;
use mustwright::engine::Settings;
use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Feed, Pitch, Reading};

use super::{a_maker, started, wrote};
use crate::support::{Browser, Club, Person};

fn read(sg: f64) -> Deed {
    Deed::Reading(Reading {
        sg: Some(sg),
        read_sg: Some(sg),
        ..Reading::default()
    })
}

fn began() -> DateTime<Utc> {
    "2026-11-28T18:00:00Z".parse().unwrap()
}

/// A batch that was pitched as it was mixed.
async fn pitched(club: &Club) -> (Person, Browser, String) {
    let (ada, browser, recipe) = a_maker(club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    wrote(club, &ada, &batch, 0.0, Deed::Pitch(Pitch::default())).await;
    (ada, browser, batch)
}

async fn lead_of(browser: &Browser, batch: &str) -> String {
    browser.get(batch).await.words_of(".lead").unwrap()
}

async fn opened_of(club: &Club, ada: &Person, batch: &str) -> Opened {
    let id = batch.rsplit('/').next().unwrap();
    let mut conn = club.pool().acquire().await.unwrap();
    let opened = opened::open(&mut conn, Some(ada.id), &Settings::default(), id).await;
    opened.map_err(|_| "it opens").unwrap()
}

/// Feeds it as its plan says, a day apart.
async fn feed(club: &Club, ada: &Person, batch: &str) {
    let opened = opened_of(club, ada, batch).await;
    let mut times = Vec::new();
    for addition in &opened.planned.feeding.as_ref().expect("a plan").additions {
        if times.last() != Some(&addition.at) {
            times.push(addition.at);
        }
        let nitrogen = addition.ammonium_mg_per_l + addition.organic_mg_per_l;
        let fed = Deed::Feed(Feed {
            name: addition.nutrient.clone(),
            grams: addition.grams,
            organic_yan_mg_per_g: Some(nitrogen * opened.state.volume_l / addition.grams),
            ..Feed::default()
        });
        wrote(club, ada, batch, 24.0 * times.len() as f64, fed).await;
    }
}

/// The gravities that its own forecast has at these hours before anything is read.
async fn of_its_forecast(club: &Club, ada: &Person, batch: &str, hours: &[f64]) -> Vec<f64> {
    let opened = opened_of(club, ada, batch).await;
    let sight = outlook::sight(&opened, 250.0, Vec::new(), false);
    let points = sight.outlook.expect("an outlook").points;
    let at = |wanted: f64| {
        let after = points.iter().position(|point| point.hours >= wanted);
        let after = after.expect("within the picture");
        let (a, b) = (&points[after.saturating_sub(1)], &points[after]);
        let along = match b.hours - a.hours {
            width if width > 0.0 => (wanted - a.hours) / width,
            _ => 0.0,
        };
        a.sg.best + along * (b.sg.best - a.sg.best)
    };
    hours.iter().map(|hours| at(*hours)).collect()
}

#[tokio::test]
async fn before_the_yeast_it_is_told_when_it_would_be_dry() {
    let club = Club::standing_at(began(), &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let page = ada.get(&batch).await;
    let lead = page.words_of(".lead").unwrap();
    assert!(
        lead.contains("If the yeast goes in today: dry about"),
        "{lead}"
    );
    assert!(page.words_of("#outlook dl").unwrap().contains("Its end"));
}

#[tokio::test]
async fn before_any_reading_a_band_stands_with_its_dates_limits_and_table() {
    let club = Club::standing_at(began(), &[]).await;
    let (_, ada, batch) = pitched(&club).await;
    let page = ada.get(&batch).await;
    let lead = page.words_of(".lead").unwrap();
    assert!(lead.contains("Too early to tell; dry about"), "{lead}");
    assert!(lead.contains(", between "), "{lead}");
    assert!(
        page.text.contains("class=\"expected\""),
        "the band is drawn"
    );
    let table = page.words_of("#outlook table").unwrap();
    assert!(table.contains("expected, most likely 1."), "{table}");
    let limits = page.words_of("#outlook").unwrap();
    assert!(limits.contains("How far to trust it") && limits.contains("grape must"));
    assert!(limits.contains("Before any reading this is what is usual"));
}

#[tokio::test]
async fn readings_on_the_way_narrow_the_dates_and_say_that_it_is_on_course() {
    let club = Club::standing_at(began(), &[]).await;
    let (ada, browser, batch) = pitched(&club).await;
    feed(&club, &ada, &batch).await;
    let hours = [0.0, 24.0, 48.0, 72.0, 96.0, 120.0];
    let gravities = of_its_forecast(&club, &ada, &batch, &hours).await;
    for (at, sg) in hours.iter().zip(gravities) {
        wrote(&club, &ada, &batch, *at, read(sg)).await;
    }
    club.app.clock.move_to(began() + TimeDelta::hours(124));
    let page = browser.get(&batch).await;
    let lead = page.words_of(".lead").unwrap();
    assert!(lead.contains("On course; dry "), "{lead}");
    let said = page.words_of("#outlook").unwrap();
    assert!(said.contains("Fitted to 6 readings"), "{said}");
    assert!(
        said.contains("reached about"),
        "the third is behind: {said}"
    );
    assert!(page.words_of("#course").is_none(), "nothing to warn of");
}

#[tokio::test]
async fn a_silent_start_is_asked_about_the_lid_before_anybody_is_warned() {
    let club = Club::standing_at(began(), &[]).await;
    let (ada, browser, batch) = pitched(&club).await;
    feed(&club, &ada, &batch).await;
    let og = of_its_forecast(&club, &ada, &batch, &[0.0]).await[0];
    for hours in [0.0, 30.0, 60.0] {
        wrote(&club, &ada, &batch, hours, read(og)).await;
    }
    club.app.clock.move_to(began() + TimeDelta::hours(61));
    let page = browser.get(&batch).await;
    let caution = page.words_of("#course").unwrap();
    assert!(caution.contains("Is the lid tight?"), "{caution}");
    let trouble = page.link("What to look at").expect("the way to trouble");
    assert!(trouble.ends_with("/trouble/no_start"), "{trouble}");
    let asked = browser.get(&trouble).await;
    assert!(asked.text.contains("Is the lid tight?"));
    let told = browser.get(&format!("{trouble}?lid=yes")).await;
    assert!(!told.text.contains("Is the lid tight?"), "{}", told.text);
    assert!(
        told.text.contains("Slower than expected") || told.text.contains("It may have stopped")
    );
    club.app.clock.move_to(began() + TimeDelta::hours(75));
    wrote(&club, &ada, &batch, 74.0, read(og)).await;
    let later = browser.get(&batch).await;
    assert!(
        !later.text.contains("Is the lid tight?"),
        "three days have passed"
    );
}

#[tokio::test]
async fn a_mead_that_stands_still_with_sugar_left_may_have_stopped() {
    let club = Club::standing_at(began(), &[]).await;
    let (ada, browser, batch) = pitched(&club).await;
    let og = of_its_forecast(&club, &ada, &batch, &[0.0]).await[0];
    for (hours, fallen) in [(24.0, 0.01), (72.0, 0.03), (120.0, 0.03), (168.0, 0.03)] {
        wrote(&club, &ada, &batch, hours, read(og - fallen)).await;
    }
    club.app.clock.move_to(began() + TimeDelta::hours(170));
    let page = browser.get(&batch).await;
    let lead = lead_of(&browser, &batch).await;
    assert!(lead.contains("It may have stopped."), "{lead}");
    let trouble = page.link("What to look at").unwrap();
    assert!(trouble.ends_with("/trouble/stuck"), "{trouble}");
}

#[tokio::test]
async fn what_was_fed_and_what_is_still_planned_stands_in_the_table() {
    let club = Club::standing_at(began(), &[]).await;
    let (ada, browser, batch) = pitched(&club).await;
    let fed = Deed::Feed(Feed {
        name: "the first powder".to_owned(),
        grams: 4.0,
        organic_yan_mg_per_g: Some(40.0),
        ..Feed::default()
    });
    wrote(&club, &ada, &batch, 24.0, fed).await;
    club.app.clock.move_to(began() + TimeDelta::hours(30));
    let table = browser
        .get(&batch)
        .await
        .words_of("#outlook table")
        .unwrap();
    assert!(table.contains("fed the first powder"), "{table}");
}

#[tokio::test]
async fn what_the_outlook_taught_is_kept_once_something_is_logged() {
    let club = Club::standing_at(began(), &[]).await;
    let (ada, browser, batch) = pitched(&club).await;
    feed(&club, &ada, &batch).await;
    let hours = [48.0, 96.0, 144.0, 192.0];
    let gravities = of_its_forecast(&club, &ada, &batch, &hours).await;
    for (at, sg) in hours.iter().zip(gravities) {
        wrote(&club, &ada, &batch, *at, read(sg)).await;
    }
    club.app.clock.move_to(began() + TimeDelta::hours(200));
    let form = browser.get(&format!("{batch}/log")).await;
    let done = browser
        .submit(&form, "Write it down", &[("Note", "It hisses.")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let kept: (String, Option<f64>, Option<f64>) =
        sqlx::query_as("select course, uptake_factor, book_fg from batch_numbers")
            .fetch_one(club.pool())
            .await
            .unwrap();
    assert_eq!(kept.0, "on_course");
    let uptake = kept.1.expect("fitted");
    assert!(
        (0.5..0.72).contains(&uptake),
        "as the forecast's own, 0.6: {uptake}"
    );
    assert!(kept.2.is_some_and(|fg| fg < 1.02));
}

#[tokio::test]
async fn past_a_third_of_its_fall_no_feed_is_counted_on_any_more() {
    let club = Club::standing_at(began(), &[]).await;
    let (ada, browser, batch) = pitched(&club).await;
    club.app.clock.move_to(began() + TimeDelta::hours(100));
    let planned = |page: &str| page.contains("a feed of the plan");
    let table = browser.get(&batch).await.words_of("#outlook table");
    assert!(
        planned(&table.unwrap()),
        "overdue, so it is taken to come now"
    );
    let og = of_its_forecast(&club, &ada, &batch, &[0.0]).await[0];
    for (hours, fallen) in [(0.0, 0.0), (98.0, 0.05)] {
        wrote(&club, &ada, &batch, hours, read(og - fallen)).await;
    }
    let table = browser.get(&batch).await.words_of("#outlook table");
    assert!(!planned(&table.unwrap()));
}
