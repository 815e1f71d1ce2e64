//! Sweetening: three ways to ask, nothing refused, a reason where it was not stabilised.

use super::{Mead, WHY};

const AMOUNT: &str = "How much went in";

#[tokio::test]
async fn to_a_gravity_with_the_dilution_and_a_little_short_first() {
    let mead = Mead::that_is_stable().await;
    let page = mead
        .page("/sweeten?sweetener=honey-clover&by=gravity&gravity=1012")
        .await;
    let answer = page.words_of("#answer").unwrap();
    assert!(answer.contains("from 0.998 to 1.012"), "{answer}");
    assert!(answer.contains("of alcohol instead of"), "{answer}");
    assert!(
        answer.contains("about 1.010, a little short")
            || answer.contains("about 1.009, a little short"),
        "{answer}"
    );
    assert!(!page.text.contains("It was not stabilised"));
    let done = mead
        .browser
        .submit(&page, "It went in", &[(AMOUNT, "800 g")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = mead
        .browser
        .submit(&page, "It went in", &[(AMOUNT, "800 g")])
        .await;
    assert_eq!(again.location(), done.location(), "sent twice, given once");
    let (kind, data) = mead.last().await;
    assert_eq!(
        (kind.as_str(), data["why"].as_str(), data["kg"].as_f64()),
        ("addition", Some("sweeten"), Some(0.8))
    );
    assert!(data["composition"]["fermentable"].as_f64().unwrap() > 0.5);
    let overview = mead.browser.follow(done).await;
    assert!(
        overview.text.contains("Sweetened on 28 November 2026."),
        "{}",
        overview.text
    );
    // What sweetens after stabilising says nothing against its end.
    assert!(
        overview.text.contains("Yes, by its readings."),
        "{}",
        overview.text
    );
}

#[tokio::test]
async fn by_sugar_and_against_the_acid() {
    let mead = Mead::that_is_stable().await;
    let page = mead
        .page("/sweeten?sweetener=table-sugar&by=sugar&sugar=30")
        .await;
    let answer = page.words_of("#answer").unwrap();
    assert!(answer.contains("as sweet as 30 g/L of sugar"), "{answer}");
    let erythritol = mead
        .page("/sweeten?sweetener=erythritol&by=sugar&sugar=30")
        .await;
    assert!(
        erythritol
            .words_of("#answer")
            .unwrap()
            .contains("Erythritol")
    );
    for (sweetener, whom) in [("xylitol", "Deadly to dogs"), ("lactose", "Made of milk")] {
        let page = mead
            .page(&format!("/sweeten?sweetener={sweetener}&by=sugar&sugar=20"))
            .await;
        let answer = page.words_of("#answer").unwrap();
        assert!(answer.contains(whom), "{answer}");
    }
    let acid = mustwright::engine::log::entry::Reading {
        ta_g_per_l: Some(6.0),
        ..Default::default()
    };
    mead.read(62.0, acid).await;
    let page = mead
        .page("/sweeten?sweetener=table-sugar&by=ratio&ratio=5")
        .await;
    let answer = page.words_of("#answer").unwrap();
    assert!(
        answer.contains("That is 5 g of sugar for each gram of acid."),
        "{answer}"
    );
    assert!(page.text.contains("as measured"));
}

#[tokio::test]
async fn what_cannot_be_stands_beside_its_field_with_what_was_typed() {
    let mead = Mead::that_is_stable().await;
    for (query, label, says) in [
        (
            "by=gravity&gravity=0.990",
            "Gravity",
            "sweet as that already",
        ),
        ("by=gravity&gravity=plenty", "Gravity", ""),
        ("by=sugar&sugar=900", "Sugar in a litre", "0 to 400"),
        (
            "by=ratio&ratio=x",
            "Sugar for each gram of acid",
            "such as 4",
        ),
    ] {
        let path = mead.at(&format!("/sweeten?sweetener=table-sugar&{query}"));
        let page = mead.browser.get(&path).await;
        assert_eq!(page.status, 422, "{query}");
        let fault = page.fault(label);
        assert!(
            !fault.is_empty() && fault.contains(says),
            "{query}: {fault}"
        );
    }
    let path = mead.at("/sweeten?sweetener=stevia&by=gravity&gravity=1.012");
    let page = mead.browser.get(&path).await;
    assert!(
        page.fault("Gravity").contains("no hydrometer shows it"),
        "{}",
        page.text
    );
    let path = mead.at("/sweeten?sweetener=milk&by=gravity&gravity=1.012");
    assert!(!mead.browser.get(&path).await.fault("With what").is_empty());
}

#[tokio::test]
async fn not_stabilised_it_warns_and_wants_a_reason_but_not_for_what_does_not_ferment() {
    let mead = Mead::that_stands().await;
    let page = mead
        .page("/sweeten?sweetener=honey-clover&by=gravity&gravity=1012")
        .await;
    assert!(page.text.contains("It was not stabilised"), "{}", page.text);
    let refused = mead
        .browser
        .submit(&page, "It went in", &[(AMOUNT, "800 g")])
        .await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(!refused.fault(WHY).is_empty());
    assert_eq!(refused.value(AMOUNT), "800 g");
    let why = [(AMOUNT, "800 g"), (WHY, "It is drunk on Saturday.")];
    let done = mead.browser.submit(&refused, "It went in", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let sheet = mead.browser.get(&mead.batch).await;
    let log = sheet.words_of("#log").unwrap();
    assert!(log.contains("It is drunk on Saturday."), "{log}");

    let mead = Mead::that_stands().await;
    let page = mead
        .page("/sweeten?sweetener=erythritol&by=sugar&sugar=20")
        .await;
    assert!(
        !page.text.contains("It was not stabilised"),
        "{}",
        page.text
    );
    let done = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        data["composition"]["fermentable"], 0.0,
        "nothing of it ferments"
    );
}
