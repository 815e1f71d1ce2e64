//! Acid from what was measured, half first; what takes it away; and tannin's way.

use mustwright::engine::log::entry::Reading;

use super::Mead;

const AMOUNT: &str = "How much went in";

async fn measured() -> Mead {
    let mead = Mead::that_stands().await;
    let reading = Reading {
        ph: Some(3.5),
        ta_g_per_l: Some(5.0),
        ..Reading::default()
    };
    mead.read(50.0, reading).await;
    mead
}

#[tokio::test]
async fn an_acid_brings_it_from_what_was_measured_to_what_is_wanted() {
    let mead = measured().await;
    let page = mead.page("/acid").await;
    assert!(
        page.words_of(".lead")
            .unwrap()
            .contains("measured on 9 November 2026"),
        "{}",
        page.text
    );
    let page = mead.page("/acid?acid=malic&to=6").await;
    let answer = page.words_of("#answer").unwrap();
    // 1 g/L as tartaric: 1/1.119 of malic, for the 20 L or a little less.
    assert!(answer.contains("18 g of malic acid in all"), "{answer}");
    assert!(answer.contains("goggles"), "{answer}");
    assert!(
        page.value(AMOUNT) == "8.9 g" || page.value(AMOUNT) == "8.8 g",
        "half first: {}",
        page.value(AMOUNT)
    );
    let done = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        (data["what"].as_str(), data["why"].as_str()),
        (Some("acid"), Some("adjust"))
    );
    let change = data["ta_change_g_per_l"].as_f64().unwrap();
    assert!((change - 0.5).abs() < 0.01, "{change}");
    let page = mead.page("/acid").await;
    assert!(
        page.words_of(".lead").unwrap().contains("5.5 g/L"),
        "{}",
        page.text
    );
    assert!(
        page.text.contains("No pH was measured"),
        "the old pH is not of this mead any more"
    );
}

#[tokio::test]
async fn a_carbonate_takes_it_away_and_the_wrong_one_is_told_beside_its_field() {
    let mead = measured().await;
    let page = mead.page("/acid?acid=KHCO3&to=4.5").await;
    let answer = page.words_of("#answer").unwrap();
    // 0.5 g/L less: 0.667 g/L of the bicarbonate.
    assert!(answer.contains("13 g of potassium bicarbonate"), "{answer}");
    assert!(answer.contains("It foams"), "{answer}");
    let done = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(data["what"], "neutraliser");
    assert!(data["ta_change_g_per_l"].as_f64().unwrap() < 0.0);
    for (query, label) in [
        ("acid=malic&to=4", "With what"),
        ("acid=KHCO3&to=6", "With what"),
        ("acid=vinegar&to=6", "With what"),
        ("acid=malic&to=sour", "Acid in a litre, afterwards"),
    ] {
        let page = mead.browser.get(&mead.at(&format!("/acid?{query}"))).await;
        assert_eq!(page.status, 422, "{query}");
        assert!(!page.fault(label).is_empty(), "{query}");
    }
}

#[tokio::test]
async fn tannin_has_its_way_with_the_least_proposed() {
    let mead = measured().await;
    let page = mead.page("/acid").await;
    let to = page.link("Tannin for this batch").expect("its way");
    let page = mead.browser.get(&to).await;
    // 0.05 g/L for the 20 L or a little less.
    assert!(
        page.value(AMOUNT) == "0.99 g"
            || page.value(AMOUNT) == "1 g"
            || page.value(AMOUNT) == "1.0 g",
        "{}",
        page.value(AMOUNT)
    );
}
