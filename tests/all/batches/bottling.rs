//! Filling a batch: sugar for gas never where it was stabilised, a written reason where it may still ferment, bottles in the cellar.

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, Mixed, Pitch, Reading, What, Why};
use serde_json::Value;
use sqlx::Row;

use super::{a_maker, started, wrote};
use crate::support::{Browser, Club, Page, Person, a_member};

const NOW: &str = "2026-11-28T18:00:00Z";
const DAY: f64 = 24.0;
const PRIMED: (&str, &str) = ("with gas, in bottles: sugar makes it there", "");
const STILL: (&str, &str) = ("still, in bottles", "");
const KEGGED: (&str, &str) = ("in a keg, with gas from a cylinder", "");
const STIRRED: (&str, &str) = ("yes, the gas was stirred out since it stopped", "");
const FILL: &str = "It is filled: write it down";

/// A batch of Ada's that was mixed in November, and a clock that stands in March.
pub async fn a_batch(club: &Club) -> (Person, Browser, String) {
    let (person, ada, recipe) = a_maker(club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let start = Deed::Mixed(Mixed {
        volume_l: Some(20.0),
        sg: Some(1.088),
        temperature_c: None,
    });
    wrote(club, &person, &batch, 0.1, start).await;
    let yeast = Deed::Pitch(Pitch {
        tolerance_abv_percent: Some(14.0),
        ..Pitch::default()
    });
    wrote(club, &person, &batch, 1.0, yeast).await;
    let now: DateTime<Utc> = NOW.parse().unwrap();
    club.app.clock.move_to(now + TimeDelta::days(100));
    (person, ada, batch)
}

pub async fn a_club() -> Club {
    Club::standing_at(NOW.parse().unwrap(), &[]).await
}

fn reads(sg: f64) -> Deed {
    Deed::Reading(Reading {
        sg: Some(sg),
        must_temperature_c: Some(20.0),
        degassed: Some(true),
        ..Reading::default()
    })
}

/// Two readings without gas, 16 days apart, that agree.
pub async fn stood_still(club: &Club, person: &Person, batch: &str) {
    for days in [40.0, 56.0] {
        wrote(club, person, batch, days * DAY, reads(0.998)).await;
    }
}

/// Sulfite and sorbate after it had stood still.
async fn stabilised(club: &Club, person: &Person, batch: &str) {
    for (what, grams) in [(What::Sulfite, 2.0), (What::Sorbate, 5.0)] {
        let deed = Deed::Addition(Addition {
            why: Some(Why::Stabilise),
            grams: Some(grams),
            ..Addition::of(what.as_str(), what)
        });
        wrote(club, person, batch, 60.0 * DAY, deed).await;
    }
}

/// Kinds and data of all that counts in the log of the only batch, as it was written.
async fn log(club: &Club) -> Vec<(String, Value)> {
    let rows = sqlx::query("select kind, data from batch_entries order by entry")
        .fetch_all(club.pool())
        .await
        .unwrap();
    rows.iter().map(|row| (row.get(0), row.get(1))).collect()
}

fn of_kind<'a>(log: &'a [(String, Value)], kind: &str) -> Vec<&'a Value> {
    let found = log.iter().filter(|(one, _)| one == kind);
    found.map(|(_, data)| data).collect()
}

/// Sends the form of a page with another way than it offers.
async fn sent_as(browser: &Browser, page: &Page, way: &str, more: &[(&str, &str)]) -> Page {
    let (action, mut fields) = page.filled(FILL, &[]);
    for (name, text) in std::iter::once(&("way", way)).chain(more) {
        fields.retain(|(known, _)| known != name);
        fields.push(((*name).to_owned(), (*text).to_owned()));
    }
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    browser.post(&action, &fields).await
}

#[tokio::test]
async fn what_stands_still_is_primed_and_lies_in_the_cellar() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    stood_still(&club, &person, &batch).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    assert_eq!(form.status, 200, "{}", form.text);
    assert_eq!(
        form.value("Warmest it has been since it stopped"),
        "20 °C",
        "the log knows it"
    );
    assert!(!form.text.contains("It may still ferment"), "{}", form.text);
    let typed = [
        PRIMED,
        STIRRED,
        ("Kind of bottle", "heavy"),
        ("Volumes of gas that you want", "2.5"),
        ("Bottles of", "750 ml"),
        ("How many", "24"),
        ("Where it goes", "lower shelf"),
    ];
    let reckoned = ada.submit(&form, "Reckon it", &typed).await;
    assert_eq!(reckoned.status, 200, "{}", reckoned.text);
    let told = reckoned.words_of("#reckoned").unwrap();
    for said in [
        "g of table sugar in 18 L",
        "2.5 volumes press",
        "bar above the air",
        "30 °C",
    ] {
        assert!(told.contains(said), "{said}: {told}");
    }
    assert!(
        of_kind(&log(&club).await, "package").is_empty(),
        "only asked"
    );
    let done = ada.submit(&reckoned, FILL, &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = ada.submit(&reckoned, FILL, &[]).await;
    assert_eq!(again.location(), done.location(), "sent twice, filled once");
    let log = log(&club).await;
    let filled = of_kind(&log, "package");
    assert_eq!(filled.len(), 1, "{log:?}");
    assert_eq!(filled[0]["volumes_co2"], 2.5);
    assert_eq!(filled[0]["bottles"][0]["count"], 24);
    let sugar = of_kind(&log, "addition");
    assert_eq!(sugar[0]["why"], "prime");
    let grams = sugar[0]["grams"].as_f64().unwrap();
    assert!((40.0..150.0).contains(&grams), "{grams}");
    assert!(told.contains(&format!("{grams:.1} g")), "{told}");
    let labels = ada.follow(done).await;
    assert_eq!(labels.heading(), "Labels");
    let cellar = ada.get("/cellar").await;
    assert!(
        cellar.text.contains("24 bottles of 750 ml"),
        "{}",
        cellar.text
    );
    let meta = cellar.words_of(".entries").unwrap();
    for said in [
        "lower shelf",
        "with gas",
        "2 kept back until",
        "good from about",
    ] {
        assert!(meta.contains(said), "{said}: {meta}");
    }
    let sheet = ada.get(&batch).await;
    assert!(sheet.text.contains("in bottles"), "it is done");
    let lead = sheet.words_of(".lead").unwrap();
    assert!(lead.starts_with("18 L filled, "), "{lead}");
    assert!(lead.ends_with("of alcohol."), "{lead}");
    assert!(sheet.words_of("#bottles").unwrap().contains("24 bottles"));
}

#[tokio::test]
async fn what_was_stabilised_gets_no_sugar_by_any_way() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    stood_still(&club, &person, &batch).await;
    stabilised(&club, &person, &batch).await;
    let fresh = Deed::Pitch(Pitch::default());
    // Fresh yeast for the bottles takes no sorbate out.
    for yeast in [None, Some(fresh)] {
        if let Some(yeast) = yeast {
            wrote(&club, &person, &batch, 70.0 * DAY, yeast).await;
        }
        let form = ada.get(&format!("{batch}/bottling")).await;
        assert!(form.text.contains("It was stabilised."), "{}", form.text);
        assert!(!form.text.contains(PRIMED.0), "it is not offered");
        let more = [
            ("bottle", "heavy"),
            ("volumes", "3"),
            ("warmest", "20"),
            ("degassed", "yes"),
            ("reason", "I want it"),
        ];
        for button in ["reckon", "fill"] {
            let more: Vec<(&str, &str)> = more
                .into_iter()
                .chain(std::iter::once(("do", button)))
                .collect();
            let refused = sent_as(&ada, &form, "primed", &more).await;
            assert_eq!(refused.status, 422, "{}", refused.text);
            assert!(
                refused
                    .text
                    .contains("It was stabilised, so that it cannot be primed"),
                "{}",
                refused.text
            );
            let told = refused.words_of("#reckoned").unwrap();
            assert!(!told.contains("g of table sugar"), "{told}");
        }
    }
    assert!(of_kind(&log(&club).await, "package").is_empty());
    // The plan has no such step, whatever is typed into the address.
    let step = ada.get(&format!("{batch}/plan/prime")).await;
    assert_eq!(step.status, 404);
    let plan = ada.get(&format!("{batch}/plan")).await;
    assert!(!plan.text.contains("Add the sugar for the gas"));
    // The log keeps what was done, and asks.
    let form = ada.get(&format!("{batch}/log/addition")).await;
    let typed = [
        ("What", "else"),
        ("Its name, if it is something else", "Sugar"),
        ("How much", "100 g"),
        ("Why", "prime"),
    ];
    let done = ada.submit(&form, "Write it down", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let asked = ada.follow(done).await;
    assert!(
        asked.text.contains("No sugar for gas after stabilising"),
        "{}",
        asked.text
    );
}

#[tokio::test]
async fn a_keg_is_the_way_for_what_was_stabilised() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    stood_still(&club, &person, &batch).await;
    stabilised(&club, &person, &batch).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    let typed = [
        KEGGED,
        ("Volumes of gas that you want", "2.5"),
        ("How much goes into it", "18 L"),
        ("How cold it stands", "4"),
    ];
    let reckoned = ada.submit(&form, "Reckon it", &typed).await;
    assert_eq!(reckoned.status, 200, "{}", reckoned.text);
    let told = reckoned.words_of("#reckoned").unwrap();
    assert!(told.contains("Set the cylinder to 1.0 bar"), "{told}");
    let done = ada.submit(&reckoned, FILL, &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let log = log(&club).await;
    assert_eq!(of_kind(&log, "package")[0]["litres"], 18.0);
    let cellar = ada.get("/cellar").await;
    assert!(cellar.text.contains("18 L in a keg"), "{}", cellar.text);
    assert!(!cellar.text.contains("kept back"), "nothing of a keg is");
    // What is drawn is told in litres.
    let lot: String = sqlx::query_scalar("select public_id from cellar_lots where keg")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let lot = ada.get(&format!("/cellar/{lot}")).await;
    let refused = ada.submit(&lot, "Take it out", &[]).await;
    assert_eq!(refused.status, 422);
    assert!(refused.fault("How much").contains("0.5 L"));
    let more = ada
        .submit(&lot, "Take it out", &[("How much", "18.5 L")])
        .await;
    assert_eq!(more.fault("How much"), "There is less left: 18 L.");
    let done = ada
        .submit(&lot, "Take it out", &[("How much", "250 ml")])
        .await;
    let lot = ada.follow(done).await;
    let lead = lot.words_of(".lead").unwrap();
    assert!(lead.starts_with("17.8 L of 18 L in a keg"), "{lead}");
    assert!(lot.text.contains("250 ml, drunk"), "{}", lot.text);
    // A label for it, and a taste that draws nothing by itself.
    let labels = ada.get(&format!("{batch}/labels")).await;
    assert_eq!(labels.value("How many labels"), "1");
    let printed = ada
        .get(
            &labels
                .link("One for each bottle that is left, on a fresh sheet")
                .unwrap(),
        )
        .await;
    assert!(printed.text.contains("keg of 18 L"), "{}", printed.text);
    let bottle = ada.get(&lot.link("Taste it").unwrap()).await;
    let taps = [("a lot", ""), ("just right", ""), ("yes", "")];
    let done = ada.submit(&bottle, "Write it down", &taps).await;
    let after = ada.follow(done).await;
    assert!(after.text.contains("17.8 L left"), "{}", after.text);
}

#[tokio::test]
async fn the_plan_fills_nothing_by_itself() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    stood_still(&club, &person, &batch).await;
    let step = ada.get(&format!("{batch}/plan/package")).await;
    assert_eq!(step.status, 200, "{}", step.text);
    assert!(!step.has_button("Done"), "{}", step.text);
    let way = format!("{batch}/bottling");
    assert_eq!(
        step.link("Fill it: gas, bottles, labels"),
        Some(way.clone())
    );
    // An old page of it, sent now, leads there too and writes nothing.
    let (action, fields) = step.filled("Leave it out", &[]);
    let done = action.replace("left-out", "done");
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    let led = ada.post(&done, &fields).await;
    assert_eq!((led.status, led.location()), (303, Some(way.as_str())));
    assert!(of_kind(&log(&club).await, "package").is_empty());
    let form = ada.get(&way).await;
    let filled = ada.submit(&form, FILL, &[STILL]).await;
    assert_eq!(filled.status, 303, "{}", filled.text);
    let step = ada.get(&format!("{batch}/plan/package")).await;
    assert!(step.words_of(".lead").unwrap().starts_with("done"));
}

#[tokio::test]
async fn what_may_still_ferment_is_closed_only_with_a_reason_that_the_log_keeps() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    wrote(&club, &person, &batch, 40.0 * DAY, reads(1.010)).await;
    wrote(&club, &person, &batch, 56.0 * DAY, reads(1.004)).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    assert!(form.words_of(".caution.danger").is_some(), "{}", form.text);
    let typed = [STILL, ("Bottles of", "750 ml"), ("How many", "10")];
    let refused = ada.submit(&form, FILL, &typed).await;
    assert_eq!(refused.status, 422);
    let title = refused.words_of("title").unwrap();
    assert!(title.starts_with("Error: "), "{title}");
    assert!(!refused.fault("Why you close it all the same").is_empty());
    assert_eq!(refused.value("How many"), "10", "what was typed stays");
    assert!(of_kind(&log(&club).await, "package").is_empty());
    let typed = [("Why you close it all the same", "It is for tonight")];
    let done = ada.submit(&refused, FILL, &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let log = log(&club).await;
    let note = of_kind(&log, "note");
    let text = note[0]["text"].as_str().unwrap();
    assert!(text.contains("It is for tonight"), "{text}");
    assert!(text.contains("It may still ferment"), "{text}");
    assert_eq!(of_kind(&log, "package").len(), 1);
}

#[tokio::test]
async fn a_bottle_that_is_too_weak_gets_no_dose_and_nothing_unknown_is_guessed() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    stood_still(&club, &person, &batch).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    let weak = [
        PRIMED,
        STIRRED,
        ("Kind of bottle", "still"),
        ("Volumes of gas that you want", "2.5"),
        ("Bottles of", "750 ml"),
        ("How many", "24"),
    ];
    let told = ada.submit(&form, "Reckon it", &weak).await;
    let told = told.words_of("#reckoned").unwrap();
    assert!(told.contains("These bottles may burst"), "{told}");
    assert!(
        told.contains("ordinary beer bottle"),
        "the one that holds it: {told}"
    );
    assert!(!told.contains("g of table sugar"), "{told}");
    let refused = ada.submit(&form, FILL, &weak).await;
    assert_eq!(refused.status, 422, "a danger wants a reason");
    let unknown = [
        PRIMED,
        ("Kind of bottle", "heavy"),
        ("Volumes of gas that you want", "2.5"),
        ("Warmest it has been since it stopped", ""),
    ];
    let refused = ada.submit(&form, "Reckon it", &unknown).await;
    assert_eq!(refused.status, 422);
    let fault = refused.fault("Warmest it has been since it stopped");
    assert!(fault.contains("warmest"), "{fault}");
}

#[tokio::test]
async fn nobody_fills_the_batch_of_another() {
    let club = a_club().await;
    let (_, _, batch) = a_batch(&club).await;
    let bert = a_member().named("Bert").of(&club).await;
    let bert = club.browser_of(&bert).await;
    assert_eq!(bert.get(&batch).await.status, 200, "the club sees it");
    for page in ["bottling", "labels", "labels/print"] {
        let answer = bert.get(&format!("{batch}/{page}")).await;
        assert_eq!(answer.status, 404, "{page}");
    }
}
