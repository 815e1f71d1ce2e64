//! The five questions: what they ask, what they assume and say so, and the way to the whole form and back.

use mustwright::web::units::Units;
use mustwright::web::viewer::Settings;

use super::{
    LIVE, NEW, SAVE, STRENGTH, VOLUME, all_words, as_pairs, attributes, live, region, sheet_of,
};
use crate::support::{Browser, Club, Page, a_member};

const WHOLE: &str = "Show the whole form from now on";
const QUESTIONS: &str = "Begin with five questions from now on";
const ADD: &str = "Add fruit, juice, spice or anything else";
const VESSEL: &str = "Yours, or a usual one";

/// A club with Ada in it, who is new to it.
async fn a_newcomer() -> (Club, Browser) {
    let club = Club::open().await;
    let ada = a_member().new_to_it().of(&club).await;
    let browser = club.browser_of(&ada).await;
    (club, browser)
}

/// The value of what is chosen among radio buttons.
fn chosen(page: &Page, name: &str) -> String {
    let html = scraper::Html::parse_document(&page.text);
    let css = format!("input[type=radio][name={name}][checked]");
    let radio = scraper::Selector::parse(&css).expect("a selector");
    let found = html.select(&radio).next();
    found
        .and_then(|radio| radio.value().attr("value"))
        .unwrap_or_default()
        .to_owned()
}

#[tokio::test]
async fn a_new_recipe_begins_with_five_questions_and_says_what_it_assumes() {
    let (_club, browser) = a_newcomer().await;
    let page = browser.get(NEW).await;
    let asked = all_words(&page, ".question > legend, .question > .radios > legend");
    assert_eq!(
        asked,
        [
            "How much?",
            "How strong?",
            "How sweet?",
            "With what?",
            "In which vessel?"
        ]
    );
    assert_eq!(
        (
            chosen(&page, "aim").as_str(),
            chosen(&page, "finish").as_str()
        ),
        ("table", "dry")
    );
    // Each has its words explained by what opens without a script.
    assert_eq!(
        all_words(&page, ".question > details.word > summary").len(),
        5
    );
    let folds = all_words(&page, ".fold:not([open]) > summary");
    assert_eq!(folds.len(), 5, "{folds:?}");
    for (fold, says) in folds.iter().zip([
        "Yeast Champagne-type wine yeast, neutral, at 20 °C assumed",
        "Feed Mixed nutrient, DAP, as usual assumed",
        "What fills up water assumed",
        "Steps and notes none yet assumed",
        "Who may see it only I assumed",
    ]) {
        assert_eq!(fold, says);
    }
    assert_eq!(page.value("Name"), "");
    assert_eq!(region(&page, "title-note"), "assumed: Wildflower mead");
    assert!(region(&page, "glance").starts_with("12 %, 1.08"));
    assert!(region(&page, "honey-1-pick-note").starts_with("solved: 5."));
}

#[tokio::test]
async fn answers_are_reckoned_with_live_and_without_script() {
    let (club, browser) = a_newcomer().await;
    let form = browser.get(NEW).await;
    let (_, mut fields) = form.filled("Recalculate", &[]);
    for (name, value) in [("aim", "strong"), ("finish", "sweet")] {
        fields.retain(|(field, _)| field != name);
        fields.push((name.to_owned(), value.to_owned()));
    }
    let page = browser.post(LIVE, &as_pairs(&fields)).await;
    assert_eq!(
        (
            chosen(&page, "aim").as_str(),
            chosen(&page, "finish").as_str()
        ),
        ("strong", "sweet")
    );
    let glance = region(&page, "glance");
    assert!(
        glance.starts_with("14 %, 1.1") && glance.ends_with("to 1.030"),
        "{glance}"
    );
    assert!(region(&page, "lead").contains("sweet"));
    // What one answers is told in its own fold, and no longer assumed.
    let answer = live(
        &browser,
        &club,
        &page,
        &[("Temperature of the must", "18 °C")],
    )
    .await;
    let yeast = region(&answer, "fold-yeast");
    assert!(yeast.ends_with("at 18 °C"), "{yeast}");
    let regions = attributes(&answer, "data-live-region");
    for name in attributes(&page, "data-live-region") {
        assert!(
            regions.contains(&name),
            "the region {name} would stay as it was"
        );
    }
}

#[tokio::test]
async fn a_newcomer_saves_without_typing_anything() {
    let (_club, browser) = a_newcomer().await;
    let form = browser.get(NEW).await;
    let done = browser.submit(&form, SAVE, &[]).await;
    let sheet = browser.follow(done).await;
    assert_eq!(
        (sheet.status, sheet.heading().as_str()),
        (200, "Wildflower mead"),
        "{}",
        sheet.text
    );
}

#[tokio::test]
async fn fruit_and_a_vessel_need_no_amounts() {
    let (_club, browser) = a_newcomer().await;
    let form = browser.get(NEW).await;
    let form = browser.submit(&form, ADD, &[]).await;
    let typed = [
        ("Ingredient, Ingredient 1", "sour-cherry"),
        (VESSEL, "bucket-25"),
    ];
    let page = browser.submit(&form, "Recalculate", &typed).await;
    assert_eq!(
        page.value("Amount, Ingredient 1"),
        "",
        "what is assumed is not put into the field"
    );
    let note = region(&page, "other-1-amount-note");
    assert!(
        note.contains("assumed: 0.25 kg/L") || note.contains("assumed: 250 g/L"),
        "{note}"
    );
    assert_eq!(page.fault("Amount, Ingredient 1"), "");
    assert_eq!(region(&page, "title-note"), "assumed: Sour cherry mead");
    assert!(region(&page, "vessel_pick-note").starts_with("25 L, "));
    let advice = region(&page, "vessel-advice");
    assert!(advice.contains("into a bag"), "{advice}");
    assert!(region(&page, "fruit").contains("before the fruit goes in"));
    let done = browser.submit(&page, SAVE, &[]).await;
    let sheet = sheet_of(&done);
    let edit = browser.get(&format!("{sheet}/edit")).await;
    assert_eq!(edit.value(VESSEL), "bucket-25");
    assert_eq!(edit.value("Holds to the brim"), "");
    let amount = edit.value("Amount, Ingredient 1");
    assert!(amount.contains("g/L"), "{amount}");
}

#[tokio::test]
async fn a_vessel_is_filled_as_far_as_it_has_room() {
    let (club, browser) = a_newcomer().await;
    let us = a_member()
        .named("Blythe")
        .with(Settings {
            units: Units::Us,
            ..Settings::default()
        })
        .new_to_it()
        .of(&club)
        .await;
    let us = club.browser_of(&us).await;
    for (browser, vessel, low, high, unit) in [
        (&browser, "demijohn-4-5", 3.7, 4.0, " L"),
        (&us, "demijohn-us-1-gal", 0.8, 0.9, " gal"),
    ] {
        let form = browser.get(NEW).await;
        let page = browser
            .submit(&form, "Recalculate", &[(VESSEL, vessel)])
            .await;
        assert!(
            region(&page, "vessel-advice").starts_with("Too small"),
            "{}",
            region(&page, "vessel-advice")
        );
        let page = browser
            .submit(&page, "Make as much as this vessel takes", &[])
            .await;
        let volume = page.value(VOLUME);
        let number: f64 = volume
            .strip_suffix(unit)
            .expect("the unit")
            .parse()
            .expect("a number");
        assert!((low..=high).contains(&number), "{volume}");
        assert!(
            region(&page, "vessel-advice").starts_with("There is room"),
            "{}",
            region(&page, "vessel-advice")
        );
    }
}

#[tokio::test]
async fn the_whole_form_is_for_good_and_so_is_the_way_back() {
    let (_club, browser) = a_newcomer().await;
    let form = browser.get(NEW).await;
    let (_, mut fields) = form.filled(WHOLE, &[("Name", "In the middle of it")]);
    fields.retain(|(field, _)| field != "aim");
    fields.push(("aim".to_owned(), "light".to_owned()));
    let page = browser.post(LIVE, &as_pairs(&fields)).await;
    assert_eq!(page.value("Name"), "In the middle of it");
    assert_eq!(page.value("Aim for"), "abv", "the answer is spelled out");
    assert_eq!(page.value(STRENGTH), "7 %");
    assert!(region(&page, "glance").starts_with("7 %"));
    let again = browser.get(NEW).await;
    assert!(again.has_button(QUESTIONS), "for good");
    assert_eq!(again.value("Aim for"), "abv");

    let back = browser.submit(&page, QUESTIONS, &[]).await;
    assert_eq!(chosen(&back, "aim"), "light");
    assert_eq!(back.value("Name"), "In the middle of it");
    assert!(browser.get(NEW).await.has_button(WHOLE));
}

#[tokio::test]
async fn what_the_questions_do_not_offer_is_not_lost_in_them() {
    let (_club, browser) = a_newcomer().await;
    let form = browser.get(NEW).await;
    let page = browser.submit(&form, WHOLE, &[]).await;
    let typed = [
        ("Aim for", "gravity"),
        ("Gravity at the start", "1.100"),
        ("How it ends", "arrest"),
        ("Gravity at the end", "1.020"),
        ("Kind", "bucket"),
        ("Holds to the brim", "27 L"),
    ];
    let page = browser.submit(&page, QUESTIONS, &typed).await;
    assert_eq!(
        (
            chosen(&page, "aim").as_str(),
            chosen(&page, "finish").as_str()
        ),
        ("gravity", "arrest")
    );
    assert_eq!(page.value("Gravity at the start"), "1.100");
    assert_eq!(page.value("Gravity at the end"), "1.020");
    let back = browser.submit(&page, WHOLE, &[]).await;
    for (label, text) in typed {
        assert_eq!(back.value(label), text, "{label}");
    }
}

#[tokio::test]
async fn a_fault_behind_an_answer_or_in_a_fold_is_in_view() {
    let (_club, browser) = a_newcomer().await;
    let form = browser.get(NEW).await;
    // An ale yeast cannot reach what was answered: it is said at the question.
    let (_, mut fields) = form.filled("Recalculate", &[("Yeast, yeast 1", "yeast-ale-neutral")]);
    fields.retain(|(field, _)| field != "aim");
    fields.push(("aim".to_owned(), "strong".to_owned()));
    let page = browser.post(LIVE, &as_pairs(&fields)).await;
    assert_ne!(region(&page, "aim-fault"), "");
    let typed = [
        ("Temperature of the must", "warm"),
        ("Amount, Honey 1", "plenty"),
    ];
    let page = browser.submit(&form, SAVE, &typed).await;
    assert_eq!(page.status, 422);
    assert_eq!(
        all_words(&page, "#fold-yeast[open]").len(),
        1,
        "the fold of the fault is open"
    );
    assert_eq!(all_words(&page, "#honey-1-more[open]").len(), 1);
    assert_eq!(all_words(&page, "#fold-feed[open]").len(), 0);
}
