//! Refining series: a question, one change, a decision after tasting at equal age; and only its maker sees it.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::Tasting;

use super::{a_maker, address, started, wrote};
use crate::recipes::all_words;
use crate::support::{Browser, Club, a_member};

fn tasted(score: i32) -> Deed {
    Deed::Tasting(Tasting {
        score: Some(score),
        ..Tasting::default()
    })
}

/// Puts a batch into a series; where that leads.
async fn put(browser: &Browser, batch: &str, fields: &[(&str, &str)]) -> String {
    let page = browser.get(batch).await;
    let form = match page.link("Refining series") {
        Some(way) => browser.get(&way).await,
        None => browser.get(&format!("{batch}/series")).await,
    };
    let done = browser.submit(&form, "Put it in", fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    address(done.location())
}

#[tokio::test]
async fn from_a_question_by_one_change_to_a_decision_at_equal_age() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let first = started(&browser, &recipe, &[("What it is called", "First")]).await;
    let second = started(&browser, &recipe, &[("What it is called", "Second")]).await;
    let series = put(
        &browser,
        &first,
        &[
            ("What a new one is called", "Less acid"),
            ("The question", "Is it round?"),
        ],
    )
    .await;
    let fields = [
        ("Which series", series.rsplit('/').next().unwrap()),
        ("The question", "Is half the acid enough?"),
        ("The one change", "Half the acid"),
        ("What is expected", "Rounder"),
    ];
    assert_eq!(put(&browser, &second, &fields).await, series);
    for (batch, day, score) in [(&first, 30.0, 2), (&first, 91.0, 3), (&second, 90.0, 5)] {
        wrote(&club, &ada, batch, 24.0 * day, tasted(score)).await;
    }
    let page = browser.get(&series).await;
    assert_eq!(page.heading(), "Less acid");
    let text = page.words_of("ol.entries").unwrap();
    assert!(
        text.find("Is it round?") < text.find("Is half the acid enough?"),
        "in order"
    );
    assert!(text.contains("Tasted: Firstat 91 days: 3 of 5"), "{text}");
    assert!(text.contains("Tasted: Secondat 90 days: 5 of 5"), "{text}");
    let edit = browser
        .get(&format!(
            "{series}/batches/{}",
            second.rsplit('/').next().unwrap()
        ))
        .await;
    let done = browser
        .submit(
            &edit,
            "Save",
            &[("The decision", "Half the acid from now on.")],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = browser.follow(done).await;
    assert!(page.text.contains("Half the acid from now on."));
    assert!(page.link("Compare its batches").is_some());
    assert!(
        browser
            .get("/series")
            .await
            .words_of(".entries")
            .unwrap()
            .contains("2 batches")
    );
}

#[tokio::test]
async fn faults_stand_beside_their_fields_and_the_same_form_twice_is_one() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/series")).await;
    let again = ada
        .submit(&form, "Put it in", &[("The one change", "More honey")])
        .await;
    assert_eq!(again.status, 422);
    assert!(!again.fault("The question").is_empty());
    assert!(!again.fault("What a new one is called").is_empty());
    assert_eq!(again.value("The one change").trim(), "More honey");
    let fields = [
        ("What a new one is called", "Sweeter"),
        ("The question", "Sweeter?"),
    ];
    let one = ada.submit(&form, "Put it in", &fields).await;
    let two = ada.submit(&form, "Put it in", &fields).await;
    assert_eq!(one.location(), two.location());
    assert_eq!(
        ada.get("/series").await.text.matches("Sweeter</a>").count(),
        1
    );
    let form = ada.get(&format!("{batch}/series")).await;
    let twice = ada
        .submit(&form, "Put it in", &[("The question", "Again?")])
        .await;
    assert_eq!(twice.status, 422, "it stands in that series already");
    assert!(!twice.fault("Which series").is_empty());
}

#[tokio::test]
async fn whoever_saves_second_sees_both_texts() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let fields = [
        ("What a new one is called", "Sweeter"),
        ("The question", "Sweeter?"),
    ];
    let series = put(&ada, &batch, &fields).await;
    let step = format!("{series}/batches/{}", batch.rsplit('/').next().unwrap());
    for (path, label) in [
        (step, "The one change"),
        (format!("{series}/about"), "What it is to become"),
    ] {
        let form = ada.get(&path).await;
        let first = ada.submit(&form, "Save", &[(label, "more honey")]).await;
        assert_eq!(first.status, 303, "{}", first.text);
        let second = ada.submit(&form, "Save", &[(label, "riper fruit")]).await;
        assert_eq!(second.status, 409, "{path}");
        let both = second.words_of("#meanwhile").unwrap();
        assert!(
            both.contains("more honey") && both.contains("riper fruit"),
            "{both}"
        );
        let done = ada.submit(&second, "Save", &[]).await;
        assert_eq!(done.status, 303, "{}", done.text);
        assert!(ada.get(&series).await.text.contains("riper fruit"));
    }
}

#[tokio::test]
async fn a_batch_goes_out_of_its_series_and_stays_itself() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let fields = [
        ("What a new one is called", "Sweeter"),
        ("The question", "Sweeter?"),
    ];
    let series = put(&ada, &batch, &fields).await;
    let step = ada
        .get(&format!(
            "{series}/batches/{}",
            batch.rsplit('/').next().unwrap()
        ))
        .await;
    let out = ada.submit(&step, "Take it out of the series", &[]).await;
    assert_eq!(out.status, 303);
    assert!(
        ada.get(&series)
            .await
            .text
            .contains("No batch is in it yet")
    );
    assert_eq!(ada.get(&batch).await.status, 200);
}

#[tokio::test]
async fn a_series_is_its_makers_and_a_batch_that_is_hidden_later_is_named_no_more() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Ada’s heather")]).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let fields = [
        ("What a new one is called", "Bo’s search"),
        ("The question", "Like hers?"),
    ];
    let series = put(&bo, &batch, &fields).await;
    assert!(bo.get(&series).await.text.contains("Ada’s heather"));
    let id = batch.rsplit('/').next().unwrap();
    for path in [
        series.clone(),
        format!("{series}/about"),
        format!("{series}/batches/{id}"),
    ] {
        assert_eq!(ada.get(&path).await.status, 404, "{path}");
    }
    assert!(!ada.get("/series").await.text.contains("Bo’s search"));
    let about = ada.get(&format!("{batch}/about")).await;
    let hidden = ada.submit(&about, "Save", &[("only me", "private")]).await;
    assert_eq!(hidden.status, 303);
    for path in [series.clone(), format!("{series}/batches/{id}")] {
        let page = bo.get(&path).await;
        assert_eq!(page.status, 200);
        assert!(!page.text.contains("Ada’s heather"), "{path}");
    }
    assert_eq!(bo.get(&format!("{batch}/series")).await.status, 404);
}

/// The names of a series' batches in its order.
async fn order(browser: &Browser, series: &str) -> Vec<String> {
    all_words(&browser.get(series).await, "ol.entries > li > h2")
}

#[tokio::test]
async fn its_batches_can_be_put_in_another_order_and_a_press_sent_twice_moves_once() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let mut series = String::new();
    for name in ["First", "Second", "Third"] {
        let batch = started(&ada, &recipe, &[("What it is called", name)]).await;
        let which = series.rsplit('/').next().unwrap_or_default().to_owned();
        let fields = match series.is_empty() {
            true => [
                ("What a new one is called", "Sweeter"),
                ("The question", "?"),
            ],
            false => [("Which series", which.as_str()), ("The question", "?")],
        };
        series = put(&ada, &batch, &fields).await;
    }
    assert_eq!(order(&ada, &series).await, ["First", "Second", "Third"]);
    let page = ada.get(&series).await;
    assert!(!page.has_button("up: First") && !page.has_button("down: Third"));
    for _ in 0..2 {
        let moved = ada.submit(&page, "up: Third", &[]).await;
        assert_eq!(moved.status, 303, "{}", moved.text);
        assert_eq!(order(&ada, &series).await, ["First", "Third", "Second"]);
    }
    let page = ada.get(&series).await;
    let moved = ada.submit(&page, "down: First", &[]).await;
    let page = ada.follow(moved).await;
    assert!(page.text.contains("In this order now."));
    assert_eq!(order(&ada, &series).await, ["Third", "First", "Second"]);
    // The next one that is put in still stands last.
    let last = started(&ada, &recipe, &[("What it is called", "Last")]).await;
    let which = series.rsplit('/').next().unwrap();
    put(
        &ada,
        &last,
        &[("Which series", which), ("The question", "?")],
    )
    .await;
    assert_eq!(order(&ada, &series).await.pop().unwrap(), "Last");
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let at = format!("{series}/batches/{}/move", last.rsplit('/').next().unwrap());
    let his = bo.post(&at, &[("way", "up"), ("place", "4")]).await;
    assert_eq!(his.status, 404, "a series is its maker's");
    assert_eq!(order(&ada, &series).await.pop().unwrap(), "Last");
}

#[tokio::test]
async fn a_series_is_deleted_after_one_more_question_and_its_batches_stay() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let fields = [
        ("What a new one is called", "Sweeter"),
        ("The question", "Sweeter?"),
    ];
    let series = put(&ada, &batch, &fields).await;
    let page = ada.get(&series).await;
    let way = page.link("Delete this series").expect("the way to its end");
    let asks = ada.get(&way).await;
    assert_eq!(asks.heading(), "Delete this series?");
    assert!(asks.text.contains("It has 1 batch."), "{}", asks.text);
    assert_eq!(ada.get(&series).await.status, 200, "asking deletes nothing");
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    assert_eq!(bo.get(&way).await.status, 404);
    assert_eq!(bo.post(&way, &[]).await.status, 404);
    assert_eq!(ada.get(&series).await.status, 200, "nobody else deletes it");
    let gone = ada.submit(&asks, "Delete the series", &[]).await;
    assert_eq!(gone.status, 303, "{}", gone.text);
    let list = ada.follow(gone).await;
    assert!(
        list.text
            .contains("Deleted. Its batches are where they were.")
    );
    assert!(!list.text.contains("Sweeter"));
    assert_eq!(ada.get(&series).await.status, 404);
    assert_eq!(ada.get(&batch).await.status, 200);
}
