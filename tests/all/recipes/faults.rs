//! Faults of what was typed: beside their field, led to from above, the text as it was.

use super::{NEW, SAVE, STRENGTH, VOLUME, a_club, all_words, count};
use crate::support::Page;

/// Label, text, and a part of what is said beside it.
const FAULTS: &[(&str, &str, &str)] = &[
    ("Name", "", "Give the recipe a name."),
    (VOLUME, "lots", "such as 20 L or 5 US gal"),
    (STRENGTH, "40 %", "from 0.5 % to 25 %"),
    ("Gravity at the end", "sweet", "such as 1.058"),
    (
        "Amount, Honey 1",
        "3 bushels",
        "“bushels” is not known here",
    ),
    ("Days in it, Honey 1", "a week", "Write a number"),
    ("Price, Honey 1", "cheap", "Write a price"),
    ("Water, percent, Honey 1", "117", "from 0 % to 100 %"),
    (
        "Stops at, percent by volume, yeast 1",
        "99",
        "from 1 % to 25 %",
    ),
    ("Coldest, yeast 1", "cold", "such as 20 °C or 68 °F"),
    (
        "Nitrogen as ammonium, milligrams per gram, feed 1",
        "-3",
        "from 0 to 1000",
    ),
    ("At most, feed 1", "a pinch", "Write an amount per litre"),
    (
        "Part it should cover, percent, feed 2",
        "300",
        "from 0 % to 100 %",
    ),
    ("Temperature of the must", "tepid", "such as 20 °C or 68 °F"),
    ("Holds to the brim", "big", "Write a volume"),
    ("Room to leave free, in percent", "95", "from 0 % to 90 %"),
    ("Stays behind", "little", "Write a volume"),
];

fn summary_links(page: &Page) -> Vec<(String, String)> {
    let html = scraper::Html::parse_document(&page.text);
    let selector = scraper::Selector::parse("#problem a").expect("a selector");
    html.select(&selector)
        .map(|link| {
            let to = link.value().attr("href").unwrap_or_default().to_owned();
            (to, link.text().collect::<String>())
        })
        .collect()
}

#[tokio::test]
async fn each_fault_stands_beside_its_field_and_the_summary_leads_to_it() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let mut typed: Vec<(&str, &str)> = FAULTS
        .iter()
        .map(|(label, text, _)| (*label, *text))
        .collect();
    typed.push(("How it ends", "sweeten"));
    typed.push(("Notes", "These must not be lost."));
    let page = browser.submit(&form, SAVE, &typed).await;
    assert_eq!(page.status, 422);
    assert!(page.words_of("title").unwrap().starts_with("Error: "));
    let links = summary_links(&page);
    assert_eq!(links.len(), FAULTS.len(), "{links:#?}");
    for (label, text, said) in FAULTS {
        let fault = page.fault(label);
        assert!(fault.contains(said), "{label}: {fault}");
        assert_eq!(page.value(label), *text, "{label}");
        let to = links
            .iter()
            .find(|(_, words)| *words == fault)
            .unwrap_or_else(|| panic!("no link with {fault} among {links:#?}"));
        let control = page.words_of(&format!("{}-fault", to.0));
        assert!(
            control.is_some_and(|words| words.ends_with(&fault)),
            "{to:?}"
        );
    }
    assert_eq!(page.value("Notes"), "These must not be lost.");
    let folded = all_words(&page, "details:not([open]) .fault");
    assert!(
        folded.iter().all(String::is_empty),
        "a fault hides in what is folded: {folded:?}"
    );
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
    assert_eq!(
        count(
            &club,
            "select count(*) from recipe_drafts where closed_at is null"
        )
        .await,
        1,
        "the draft is kept"
    );

    // Mended where it says so, the same form is saved.
    let good = [
        ("Name", "Mended"),
        (VOLUME, "20 L"),
        (STRENGTH, "12 %"),
        ("Gravity at the end", "1.010"),
        ("Amount, Honey 1", "the rest"),
        ("Days in it, Honey 1", ""),
        ("Price, Honey 1", ""),
        ("Water, percent, Honey 1", "17"),
        ("Stops at, percent by volume, yeast 1", "16"),
        ("Coldest, yeast 1", ""),
        ("Nitrogen as ammonium, milligrams per gram, feed 1", ""),
        ("At most, feed 1", ""),
        ("Part it should cover, percent, feed 2", ""),
        ("Temperature of the must", "18"),
        ("Holds to the brim", "25 L"),
        ("Room to leave free, in percent", ""),
        ("Stays behind", ""),
    ];
    let done = browser.submit(&page, SAVE, &good).await;
    assert_eq!(done.status, 303, "{:#?}", summary_links(&done));
}

#[tokio::test]
async fn a_choice_of_ones_own_says_what_is_still_wanted() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let form = browser
        .submit(&form, "Add fruit, juice, spice or anything else", &[])
        .await;
    let own = [
        ("Name", "Own things"),
        ("Honey, Honey 1", "own"),
        ("Ingredient, Ingredient 1", "own"),
        ("Kind, Ingredient 1", "other"),
        ("Acid, as tartaric, grams per kilogram, Ingredient 1", "900"),
        ("Yeast, yeast 1", "own"),
        ("Feed to hand, feed 1", "own"),
        ("Coldest, yeast 1", "15 °C"),
        ("Called", "the green one"),
    ];
    let page = browser.submit(&form, SAVE, &own).await;
    assert_eq!(page.status, 422);
    for (label, said) in [
        ("Called, Honey 1", "Give it a name."),
        ("Called, Ingredient 1", "Give it a name."),
        ("Amount, Ingredient 1", "Write how much"),
        ("Water, percent, Ingredient 1", "what it is made of too"),
        ("Called, yeast 1", "Give it a name."),
        (
            "Stops at, percent by volume, yeast 1",
            "at what strength this yeast stops",
        ),
        ("Warmest, yeast 1", "Write the highest temperature too."),
        ("Called, feed 1", "Give it a name."),
        (
            "Nitrogen as ammonium, milligrams per gram, feed 1",
            "how much nitrogen",
        ),
        ("Holds to the brim", "filled to the brim"),
    ] {
        let fault = page.fault(label);
        assert!(fault.contains(said), "{label}: {fault}");
    }
}

#[tokio::test]
async fn a_row_with_anything_in_it_is_never_dropped() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let form = browser
        .submit(
            &form,
            "Add fruit, juice, spice or anything else",
            &[("Name", "Rows")],
        )
        .await;
    // An untouched row is nothing; one with a price alone is not.
    let page = browser.submit(&form, "Recalculate", &[]).await;
    assert_eq!(page.fault("Ingredient, Ingredient 1"), "");
    let typed = [("Price, Ingredient 1", "4 per kg")];
    let page = browser.submit(&form, SAVE, &typed).await;
    assert_eq!(page.status, 422);
    assert!(
        page.fault("Ingredient, Ingredient 1")
            .contains("Choose one of the list"),
        "{}",
        page.fault("Ingredient, Ingredient 1")
    );
    assert_eq!(page.value("Price, Ingredient 1"), "4 per kg");
}

#[tokio::test]
async fn a_long_text_is_refused_beside_its_field_and_comes_back_whole() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let long = "ö".repeat(20_001);
    let title = "t".repeat(400);
    let typed = [("Name", title.as_str()), ("Notes", long.as_str())];
    let page = browser.submit(&form, SAVE, &typed).await;
    assert_eq!(page.status, 422);
    assert!(page.fault("Notes").contains("at most 20000 characters"));
    assert!(page.fault("Name").contains("at most"));
    assert_eq!(page.value("Notes"), long);
    assert_eq!(page.value("Name"), title);
}

#[tokio::test]
async fn what_fills_up_goes_into_the_must_under_a_name_of_its_own() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let add = "Add fruit, juice, spice or anything else";
    let form = browser.submit(&form, add, &[("Name", "Filled")]).await;
    let juice = [
        ("Ingredient, Ingredient 1", "apple-juice"),
        ("When, Ingredient 1", "secondary"),
        ("What fills up", "other-1"),
    ];
    let page = browser.submit(&form, SAVE, &juice).await;
    assert_eq!(page.status, 422);
    assert!(page.fault("What fills up").contains("goes into the must"));
    assert_eq!(
        page.fault("Amount, Ingredient 1"),
        "",
        "a filler needs no amount"
    );
    let done = browser
        .submit(&page, SAVE, &[("When, Ingredient 1", "must")])
        .await;
    let sheet = browser.follow(done).await;
    let water = all_words(&sheet, "tbody.line")
        .into_iter()
        .find(|row| row.starts_with("Water"));
    assert!(
        water.is_some_and(|row| row.contains("Apple juice fills up to the 19 L mark")),
        "{}",
        sheet.text
    );
}
