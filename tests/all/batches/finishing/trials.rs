//! Glasses on the bench: numbers that tell nothing, the one that was liked, and the dose for the whole batch.

use std::collections::BTreeSet;

use super::{Mead, WHY};
use crate::recipes::all_words;
use crate::support::Page;

const AMOUNT: &str = "How much went in";

/// Sets glasses up as they are proposed; the page of the trial.
async fn set_up(mead: &Mead, stock: &str) -> Page {
    let form = mead.page(&format!("/trials?stock={stock}")).await;
    let done = mead.browser.submit(&form, "Set the glasses up", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = mead.browser.submit(&form, "Set the glasses up", &[]).await;
    assert_eq!(again.location(), done.location(), "sent twice, set up once");
    mead.browser.follow(done).await
}

/// The number of the glass with so much in it.
fn glass_of(page: &Page, ml: &str) -> String {
    let codes = all_words(page, "#poured tbody th");
    let much = all_words(page, "#poured tbody td");
    let found = codes.into_iter().zip(much).find(|(_, much)| much == ml);
    found.unwrap_or_else(|| panic!("no glass with {ml}")).0
}

async fn chose(mead: &Mead, page: &Page, code: &str) -> Page {
    let label = format!("glass {code}");
    let done = mead.browser.submit(page, "This one", &[(&label, "")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    mead.browser.follow(done).await
}

#[tokio::test]
async fn each_glass_has_a_number_and_the_sheet_tells_nothing_more() {
    let mead = Mead::that_is_stable().await;
    let page = set_up(&mead, "tartaric").await;
    let codes = all_words(&page, "#poured tbody th");
    let different: BTreeSet<&String> = codes.iter().collect();
    assert_eq!(different.len(), 6, "{codes:?}");
    assert!(
        codes
            .iter()
            .all(|code| code.len() == 3 && code.parse::<u16>().is_ok())
    );
    let sheet = page
        .link("The sheet for tasting, to print")
        .expect("the sheet");
    let sheet = mead.browser.get(&sheet).await;
    let listed = all_words(&sheet, "tbody th");
    let mut sorted = codes.clone();
    sorted.sort();
    assert_eq!(
        listed, sorted,
        "in the order of their numbers, not of what is in them"
    );
    assert!(!sheet.text.contains(" ml"), "{}", sheet.text);
    let other = set_up(&mead, "tartaric").await;
    assert_ne!(all_words(&other, "#poured tbody th"), codes, "drawn anew");
    // Twice six glasses of 50 ml are gone from the vessel.
    let log = mead.log().await;
    assert_eq!(log.iter().filter(|(kind, _)| kind == "trial").count(), 2);
}

#[tokio::test]
async fn the_best_glass_becomes_the_dose_of_the_batch() {
    let mead = Mead::that_is_stable().await;
    let page = set_up(&mead, "tartaric").await;
    let code = glass_of(&page, "0.5 ml");
    let page = chose(&mead, &page, &code).await;
    let outcome = page.words_of("#outcome").unwrap();
    assert!(
        outcome.contains(&format!("Glass {code} had 0.5 ml in 50 ml.")),
        "{outcome}"
    );
    // 50 mg in 50.5 ml are 0.99 g/L; some 19.4 L are left.
    let grams: f64 = {
        let from = outcome.find("that is ").expect("an amount") + 8;
        let rest = &outcome[from..];
        rest[..rest.find(" g of tartaric acid").expect("grams")]
            .parse()
            .expect("a number")
    };
    assert!((18.0..=20.0).contains(&grams), "{outcome}");
    assert!(outcome.contains("three quarters"), "{outcome}");
    let done = mead
        .browser
        .submit(&page, "It went in", &[(AMOUNT, "14 g")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        (data["what"].as_str(), data["grams"].as_f64()),
        (Some("acid"), Some(14.0))
    );
    let change = data["ta_change_g_per_l"].as_f64().unwrap();
    assert!((0.68..=0.76).contains(&change), "{change}");
    let trials = mead.page("/trials").await;
    assert!(
        trials
            .text
            .contains(&format!("glass {code} was liked best")),
        "{}",
        trials.text
    );
    let to = trials
        .link("6 glasses with tartaric acid, 10 g in 100 ml")
        .expect("its way");
    let page = mead.browser.get(&to).await;
    assert!(
        page.text
            .contains("14 g went in on 28 November 2026. Of the dose"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn after_the_first_part_the_rest_is_proposed() {
    let mead = Mead::that_is_stable().await;
    let page = set_up(&mead, "malic").await;
    let code = glass_of(&page, "0.4 ml");
    let page = chose(&mead, &page, &code).await;
    let grams = |page: &Page| -> f64 {
        let text = page.value(AMOUNT);
        text.trim_end_matches(" g").parse().expect("grams")
    };
    let first = grams(&page);
    let done = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = mead.browser.get(&mead.at("/trials")).await;
    let to = page
        .link("6 glasses with malic acid, 10 g in 100 ml")
        .expect("its way");
    let rest = grams(&mead.browser.get(&to).await);
    // Three quarters, then the quarter that is left.
    assert!((rest - first / 3.0).abs() < 1.0, "{first} and {rest}");
}

#[tokio::test]
async fn honey_is_a_little_short_and_wants_a_stable_mead() {
    let mead = Mead::that_stands().await;
    let page = set_up(&mead, "honey").await;
    let code = glass_of(&page, "3 ml");
    let page = chose(&mead, &page, &code).await;
    let outcome = page.words_of("#outcome").unwrap();
    assert!(outcome.contains("a little short of the glass"), "{outcome}");
    assert!(outcome.contains("of the stock itself"), "{outcome}");
    let refused = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(!refused.fault(WHY).is_empty());
    let why = [(WHY, "It is drunk on Saturday.")];
    let done = mead.browser.submit(&page, "It went in", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        (data["what"].as_str(), data["why"].as_str()),
        (Some("honey"), Some("sweeten"))
    );
    assert!(data["composition"]["fermentable"].as_f64().unwrap() > 0.5);
}

#[tokio::test]
async fn the_stock_itself_may_go_in_and_its_water_counts() {
    let mead = Mead::that_is_stable().await;
    let page = set_up(&mead, "honey").await;
    let code = glass_of(&page, "2 ml");
    let page = chose(&mead, &page, &code).await;
    let typed = [("As what", "stock"), (AMOUNT, "700 ml")];
    let done = mead.browser.submit(&page, "It went in", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    let litres = data["litres"].as_f64().unwrap();
    assert!((litres - 0.7).abs() < 1e-9, "{litres}");
    let water = data["composition"]["water"].as_f64().unwrap();
    assert!(
        (0.55..=0.63).contains(&water),
        "half of it is water besides: {water}"
    );
}

#[tokio::test]
async fn a_glass_without_anything_may_win_and_so_may_none() {
    let mead = Mead::that_is_stable().await;
    let page = set_up(&mead, "tannin").await;
    let none = mead
        .browser
        .submit(&page, "This one", &[("none of them", "")])
        .await;
    assert_eq!(none.status, 303, "{}", none.text);
    let page = mead.browser.follow(none).await;
    assert!(page.words_of("#outcome").is_none());
    let code = glass_of(&page, "0 ml");
    let page = chose(&mead, &page, &code).await;
    let outcome = page.words_of("#outcome").unwrap();
    assert!(outcome.contains("best as it is"), "{outcome}");
    assert!(!page.has_button("It went in"));
    let bare = mead.browser.post(&mead.at("/trials/1"), &[]).await;
    assert_ne!(bare.status, 500);
    let refused = mead.browser.get(&mead.at("/trials/1")).await;
    assert_eq!(refused.status, 404, "an entry that is no trial");
}

#[tokio::test]
async fn one_glass_alone_is_nothing_to_compare_and_faults_keep_what_was_typed() {
    let mead = Mead::that_is_stable().await;
    let form = mead.page("/trials?stock=own").await;
    let mut typed = vec![
        ("Mead in each glass, in ml", "a mouthful"),
        ("Ml of it in glass 1", "1"),
    ];
    let empty: Vec<String> = (2..=6)
        .map(|glass| format!("Ml of it in glass {glass}"))
        .collect();
    typed.extend(empty.iter().map(|label| (label.as_str(), "")));
    let refused = mead
        .browser
        .submit(&form, "Set the glasses up", &typed)
        .await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault("Mead in each glass, in ml").is_empty());
    assert!(!refused.fault("What it is").is_empty());
    assert_eq!(refused.value("Mead in each glass, in ml"), "a mouthful");
    typed[0].1 = "50";
    typed.push(("What it is", "vanilla tincture"));
    let refused = mead
        .browser
        .submit(&form, "Set the glasses up", &typed)
        .await;
    assert!(
        refused
            .fault("Ml of it in glass 1")
            .contains("at least two"),
        "{}",
        refused.text
    );
    typed[2].1 = "2";
    let done = mead
        .browser
        .submit(&form, "Set the glasses up", &typed)
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = mead.browser.follow(done).await;
    let code = glass_of(&page, "2 ml");
    let page = chose(&mead, &page, &code).await;
    let outcome = page.words_of("#outcome").unwrap();
    assert!(outcome.contains("of vanilla tincture"), "{outcome}");
    let done = mead
        .browser
        .submit(&page, "It went in", &[(AMOUNT, "500 ml")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        (data["name"].as_str(), data["litres"].as_f64()),
        (Some("vanilla tincture"), Some(0.5))
    );
}
