//! What is logged besides readings: one form for each sort, filled from the plan where that knows, and what follows.

use super::{a_maker, started};
use crate::support::{Browser, Club, Page, a_member};

/// Opens the form that a link of the log leads to.
async fn form(browser: &Browser, batch: &str, link: &str) -> Page {
    let log = browser.get(&format!("{batch}/log")).await;
    let to = log.link(link).unwrap_or_else(|| panic!("no way to {link}"));
    let form = browser.get(&to).await;
    assert_eq!(form.status, 200, "{link}: {}", form.text);
    form
}

/// Writes an entry; the sheet that answers.
async fn logged(browser: &Browser, batch: &str, link: &str, labelled: &[(&str, &str)]) -> Page {
    let form = form(browser, batch, link).await;
    let done = browser.submit(&form, "Write it down", labelled).await;
    assert_eq!(done.status, 303, "{link}: {}", done.text);
    browser.follow(done).await
}

#[tokio::test]
async fn every_sort_of_entry_is_written_by_its_form() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    /// The link, what is typed, and what then stands in the log.
    type Sort<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a str);
    let cases: [Sort<'_>; 10] = [
        ("Mixed", &[("Gravity", "1088")], "gravity 1.088"),
        ("Pitched the yeast", &[("How much", "5 g")], "5 g"),
        ("Fed", &[("How much", "3 g")], "3 g of"),
        ("Stirred", &[], "Gas stirred out"),
        (
            "Added",
            &[("What", "cinnamon"), ("How much", "4 g")],
            "4 g of",
        ),
        ("Took a sample", &[("How much", "150 ml")], "150 ml"),
        (
            "Racked",
            &[("Into", "the small glass")],
            "into the small glass",
        ),
        (
            "Moved it",
            &[("Into", "the steel keg")],
            "into the steel keg",
        ),
        (
            "Tasted",
            &[(
                "As a whole, in your own words",
                "Heather, and a little heat.",
            )],
            "a little heat",
        ),
        (
            "Filled into bottles",
            &[("Bottles of", "500 ml"), ("How many", "4")],
            "4 of 500 ml",
        ),
    ];
    for (link, labelled, told) in cases {
        let sheet = logged(&ada, &batch, link, labelled).await;
        let log = sheet.words_of("#log").unwrap();
        assert!(log.contains(told), "{link}: {log}");
        assert!(sheet.words_of(".flash").is_some(), "{link} is answered");
    }
}

#[tokio::test]
async fn the_feed_is_filled_from_the_plan_and_its_nitrogen_counts() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let first = form(&ada, &batch, "Fed").await;
    let grams = first.value("How much");
    assert!(grams.ends_with(" g"), "as planned: {grams}");
    assert!(!first.value("What").is_empty());
    let sheet = logged(&ada, &batch, "Fed", &[]).await;
    let known = sheet.words_of("#known").unwrap();
    assert!(known.contains("Nitrogen fed"), "{known}");
    assert!(!known.contains("Nitrogen fed 0 of"), "{known}");
    let refused = ada
        .submit(&first, "Write it down", &[("How much", "a spoon")])
        .await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault("How much").is_empty());
    assert_eq!(refused.value("How much"), "a spoon");
}

#[tokio::test]
async fn honey_that_is_added_raises_what_it_will_ferment_to() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let before = ada.get(&batch).await.words_of("#known").unwrap();
    let honey = [("What", "honey-clover"), ("How much", "1 kg")];
    let sheet = logged(&ada, &batch, "Added", &honey).await;
    let after = sheet.words_of("#known").unwrap();
    let og = |text: &str| {
        let from = text.find("OG ").expect("an OG") + 3;
        text[from..from + 5].parse::<f64>().expect("a gravity")
    };
    assert!(og(&after) > og(&before) + 0.01, "{before} / {after}");
}

#[tokio::test]
async fn what_is_not_known_of_an_addition_is_asked() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let mead = [("What", "mead"), ("How much", "1 L")];
    let sheet = logged(&ada, &batch, "Added", &mead).await;
    assert!(
        sheet.text.contains("Nothing is known of what Mead"),
        "{}",
        sheet.text
    );
    let form = form(&ada, &batch, "Added").await;
    for labelled in [
        vec![("What", ""), ("How much", "1 kg")],
        vec![("What", "else"), ("How much", "1 kg")],
        vec![("What", "cinnamon"), ("How much", "the rest")],
    ] {
        let again = ada.submit(&form, "Write it down", &labelled).await;
        assert_eq!(again.status, 422, "{labelled:?}");
    }
}

#[tokio::test]
async fn what_is_filled_to_the_last_drop_is_done_and_goes_on_when_it_was_not() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = form(&ada, &batch, "Filled into bottles").await;
    // It is not over yet, and a closed bottle is dangerous.
    assert!(form.text.contains("Bottles can burst"), "{}", form.text);
    let bottles = [("Bottles of", "750 ml"), ("How many", "24")];
    let sheet = logged(&ada, &batch, "Filled into bottles", &bottles).await;
    assert!(sheet.text.contains("It is in bottles"), "{}", sheet.text);
    let on = ada.submit(&sheet, "It goes on", &[]).await;
    let sheet = ada.follow(on).await;
    assert!(!sheet.text.contains("It is in bottles"));
    assert!(!sheet.has_button("It goes on"));
}

#[tokio::test]
async fn the_same_form_sent_twice_writes_one_entry() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = form(&ada, &batch, "Took a sample").await;
    let first = ada.submit(&form, "Write it down", &[]).await;
    let second = ada.submit(&form, "Write it down", &[]).await;
    assert_eq!(first.location(), second.location());
    let sheet = ada.follow(second).await;
    assert_eq!(sheet.text.matches("<h3>Sample taken</h3>").count(), 1);
}

#[tokio::test]
async fn nobody_else_writes_into_a_log() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let wren = a_member().named("Wren").of(&club).await;
    let wren = club.browser_of(&wren).await;
    assert_eq!(wren.get(&batch).await.status, 200, "the club sees it");
    for path in ["log", "log/feed", "log/note", "log/package"] {
        let page = wren.get(&format!("{batch}/{path}")).await;
        assert_eq!(page.status, 404, "{path}");
    }
    let form = form(&ada, &batch, "Stirred").await;
    let (_, fields) = form.filled("Write it down", &[]);
    let once = format!(
        "{}.aaaaaaaaaaaaaaaaaaaaaaaaaa",
        wren.get("/batches/going")
            .await
            .hidden("once")
            .unwrap()
            .split('.')
            .next()
            .unwrap()
    );
    let mut fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    for field in &mut fields {
        if field.0 == "once" {
            field.1 = &once;
        }
    }
    let refused = wren.post(&format!("{batch}/log/stir"), &fields).await;
    assert_eq!(refused.status, 404);
    let none = ada.get(&format!("{batch}/log/nothing-known")).await;
    assert_eq!(none.status, 404);
}
