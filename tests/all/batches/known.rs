//! What the log makes known on the sheet.

use super::{a_maker, started};
use crate::support::{Browser, Club};

async fn logged(browser: &Browser, batch: &str, labelled: &[(&str, &str)]) {
    let form = browser.get(&format!("{batch}/log")).await;
    let done = browser.submit(&form, "Write it down", labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
}

async fn pitched(browser: &Browser, batch: &str) {
    let form = browser.get(&format!("{batch}/log/pitch")).await;
    let done = browser.submit(&form, "Write it down", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
}

#[tokio::test]
async fn a_must_with_more_water_is_told_beside_what_was_planned() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let before = ada.get(&batch).await.words_of("#known").unwrap();
    assert!(before.contains("it was not read yet"), "{before}");
    let form = ada.get(&format!("{batch}/log/mixed")).await;
    let volume = form.value("How much must there is");
    let litres: f64 = volume.trim_end_matches(" L").parse().expect("litres");
    let more = format!("{} L", litres * 1.1);
    let hint = form.words_of("#gravity-hint").unwrap();
    let planned: f64 = hint
        .split_whitespace()
        .find_map(|word| word.parse().ok())
        .unwrap_or_else(|| panic!("{hint}"));
    let diluted = format!("{:.4}", 1.0 + (planned - 1.0) / 1.1);
    let fields = [
        ("How much must there is", more.as_str()),
        ("Gravity", &diluted),
    ];
    let done = ada.submit(&form, "Write it down", &fields).await;
    let known = ada.follow(done).await.words_of("#known").unwrap();
    assert!(known.contains("more water went in"), "{known}");
    assert!(known.contains("planned"), "{known}");
}

#[tokio::test]
async fn how_far_it_has_come_and_how_long_that_took_is_told() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    logged(&ada, &batch, &[("Gravity", "1088")]).await;
    pitched(&ada, &batch).await;
    club.app
        .clock
        .move_to("2026-12-08T18:00:00Z".parse().unwrap());
    logged(&ada, &batch, &[("Gravity", "1030")]).await;
    let known = ada.get(&batch).await.words_of("#known").unwrap();
    for told in [
        "Sugar left",
        "will ferment",
        "Attenuation",
        "a third of the sugar gone after",
        "half of it after",
    ] {
        assert!(known.contains(told), "{told}: {known}");
    }
    assert!(!known.contains("95 % of it"), "{known}");
}
