//! The cupboard: what stands in it, what it costs, that nobody else sees it, and what it does for recipes.

use mustwright::web::units::Units;
use mustwright::web::viewer::Settings;

use crate::batches::started;
use crate::recipes::{all_words, saved};
use crate::support::{Browser, Club, Page, a_keeper, a_member};

const PRICE: &str = "What it cost, may be left empty";
const BEST: &str = "Best before, may be left empty";

async fn put(browser: &Browser, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get("/cupboard/new").await;
    browser.submit(&form, "Put it in", labelled).await
}

/// Puts something in; gives its page.
async fn has(browser: &Browser, labelled: &[(&str, &str)]) -> String {
    let done = put(browser, labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let list = browser.get("/cupboard").await;
    let name = labelled.iter().find(|(label, _)| *label == "Called");
    let name = name.map_or("Heather honey", |(_, name)| *name);
    list.link(name)
        .unwrap_or_else(|| panic!("no {name}: {}", list.text))
}

#[tokio::test]
async fn what_is_put_in_stands_there_in_the_units_of_its_owner() {
    let club = Club::open().await;
    let us = Settings {
        units: Units::Us,
        ..Settings::default()
    };
    let ada = a_member().with(us).of(&club).await;
    let browser = club.browser_of(&ada).await;
    let item = has(
        &browser,
        &[
            ("What it is", "honey-heather"),
            ("How much there is", "2 kg"),
            (PRICE, "12.50 for 1 lb"),
        ],
    )
    .await;
    let list = browser.get("/cupboard").await;
    assert_eq!(all_words(&list, ".figures"), ["4 lb 6.5 oz"]);
    assert_eq!(all_words(&list, ".meta"), ["12.50 EUR for 1 lb"]);
    let page = browser.get(&item).await;
    let used = browser
        .submit(&page, "Use it", &[("How much", "1 lb")])
        .await;
    let page = browser.follow(used).await;
    assert!(page.text.contains("3 lb 6.5 oz left."), "{}", page.text);
    assert!(page.text.contains("used 1 lb, 3 lb 6.5 oz left"));
    let gone = browser.submit(&page, "Throw away what is left", &[]).await;
    let page = browser.follow(gone).await;
    assert!(page.text.contains("Nothing left."));
    assert!(!page.has_button("Use it"));
}

#[tokio::test]
async fn every_fault_stands_beside_its_field_with_what_was_typed() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let faulty = [
        ("Called", ""),
        ("How much there is", "a lot"),
        (PRICE, "9.50"),
        ("Bought on, may be left empty", "lately"),
        (BEST, "31.11.2026"),
    ];
    let page = put(&browser, &faulty).await;
    assert_eq!(page.status, 422);
    assert!(page.fault("What it is").contains("Choose what it is"));
    assert!(page.fault("How much there is").contains("such as"));
    assert!(page.fault(PRICE).contains("for how much"));
    for label in ["Bought on, may be left empty", BEST] {
        assert!(page.fault(label).starts_with("Write the day"), "{label}");
    }
    for (label, text) in faulty {
        assert_eq!(page.value(label), text);
    }
    let mixed = [
        ("Called", "Juice"),
        ("How much there is", "2 L"),
        (PRICE, "4 per kg"),
    ];
    let page = put(&browser, &mixed).await;
    assert!(
        page.fault(PRICE).contains("the same measure"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_form_sent_twice_puts_it_in_once() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let form = browser.get("/cupboard/new").await;
    let labelled = [("Called", "Raisins"), ("How much there is", "250 g")];
    for _ in 0..2 {
        let done = browser.submit(&form, "Put it in", &labelled).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    let list = browser.get("/cupboard").await;
    assert_eq!(all_words(&list, ".entries h2"), ["Raisins"]);
}

#[tokio::test]
async fn of_two_who_use_the_last_at_once_one_gets_it() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browsers = [club.browser_of(&ada).await, club.browser_of(&ada).await];
    for round in 0..5 {
        let name = format!("Sugar {round}");
        let item = has(
            &browsers[0],
            &[("Called", name.as_str()), ("How much there is", "1 kg")],
        )
        .await;
        let pages = [browsers[0].get(&item).await, browsers[1].get(&item).await];
        let typed = [("How much", "700 g")];
        let (one, other) = tokio::join!(
            browsers[0].submit(&pages[0], "Use it", &typed),
            browsers[1].submit(&pages[1], "Use it", &typed),
        );
        let mut statuses = [one.status, other.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [303, 422]);
        let refused = if one.status == 422 { one } else { other };
        assert_eq!(refused.fault("How much"), "There are only 300 g left.");
    }
}

#[tokio::test]
async fn a_correction_on_top_of_an_older_one_shows_both_texts() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let item = has(
        &browser,
        &[("Called", "Raisins"), ("How much there is", "250 g")],
    )
    .await;
    let edit = browser.get(&format!("{item}/edit")).await;
    assert_eq!(edit.value("How much there is"), "0.25 kg");
    let first = browser
        .submit(&edit, "Save", &[("Note", "from the market")])
        .await;
    assert_eq!(first.status, 303);
    let second = browser
        .submit(&edit, "Save", &[("Note", "from my aunt")])
        .await;
    assert_eq!(second.status, 409);
    let differs = all_words(&second, "#meanwhile tbody tr");
    assert_eq!(differs, ["Note from the market from my aunt"]);
    let third = browser.submit(&second, "Save", &[]).await;
    assert_eq!(third.status, 303);
    assert!(browser.get(&item).await.text.contains("from my aunt"));
}

#[tokio::test]
async fn nobody_else_knows_of_it_not_even_a_keeper() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let item = has(
        &ada,
        &[("Called", "Secret spice"), ("How much there is", "20 g")],
    )
    .await;
    let others = [
        club.browser_of(&a_keeper().of(&club).await).await,
        club.browser_of(&a_member().named("Bo").of(&club).await)
            .await,
    ];
    for other in &others {
        assert!(!other.get("/cupboard").await.text.contains("Secret spice"));
        for path in [item.clone(), format!("{item}/edit")] {
            assert_eq!(other.get(&path).await.status, 404, "{path}");
        }
        for act in ["edit", "use", "throw-away"] {
            let page = other
                .post(&format!("{item}/{act}"), &[("used", "1 g")])
                .await;
            assert_eq!(page.status, 404, "{act}");
        }
    }
    assert!(ada.get(&item).await.text.contains("20 g left."));
}

#[tokio::test]
async fn a_date_that_is_past_is_told_kindly() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    for (what, name, told) in [
        (
            "yeast-sweet-mead",
            "Old yeast",
            "fewer of its cells are alive",
        ),
        ("honey-heather", "Old honey", "honey keeps for years"),
        ("feed-mixed", "Old feed", "dry and free of lumps"),
    ] {
        let labelled = [
            ("What it is", what),
            ("Called", name),
            ("How much there is", "100 g"),
            (BEST, "2020-01-31"),
        ];
        let item = has(&browser, &labelled).await;
        let page = browser.get(&item).await;
        let lead = page.words_of(".lead").unwrap();
        assert!(
            lead.contains("Best before 31 January 2020, which is past"),
            "{lead}"
        );
        assert!(lead.contains(told), "{lead}");
    }
}

#[tokio::test]
async fn recipes_are_reckoned_with_ones_own_prices_and_what_one_has() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    has(
        &ada,
        &[
            ("What it is", "honey-wildflower"),
            ("Called", "Wildflower of mine"),
            ("How much there is", "2 kg"),
            (PRICE, "16 for 2 kg"),
        ],
    )
    .await;
    let form = ada.get("/recipes/new").await;
    let notes = all_words(&form, "[data-live-region]");
    assert!(
        notes.iter().any(|note| note.contains("you have 2 kg")),
        "{notes:?}"
    );
    let sheet = saved(
        &ada,
        &[
            ("Name", "Priced"),
            ("Volume of must, in litres or gallons", "19 L"),
            ("Price, Honey 1", "10"),
            ("Who may see it", "club"),
        ],
    )
    .await;
    let line = |page: &Page| {
        let rows = all_words(page, ".buys tbody tr");
        rows.into_iter()
            .find(|row| row.starts_with("Wildflower"))
            .expect("the honey")
    };
    // More than five kilograms are wanted: six jars at the recipe's 10.00, or four more at one's own 8.00.
    let own = line(&ada.get(&format!("{sheet}/shopping")).await);
    assert!(
        own.contains("you have 2 kg") && own.ends_with("4 jars of 1 kg32.00"),
        "{own}"
    );
    // Neither what is started from it nor a batch that others see tells one's own price.
    let fit = ada.get(&format!("{sheet}/scale?volume=10+L")).await;
    for way in [
        "Start my own with these amounts",
        "Start my own with its aim, at this volume",
    ] {
        let mine = ada.get(&fit.link(way).expect("a way")).await;
        assert_eq!(mine.value("Price, Honey 1"), "10", "{way}");
    }
    let batch = started(&ada, &sheet, &[("every member of the club", "club")]).await;
    assert!(all_words(&ada.get(&batch).await, "dt").contains(&"Cost".to_owned()));
    let theirs = bo.get(&batch).await;
    assert_eq!(theirs.status, 200);
    assert!(!all_words(&theirs, "dt").contains(&"Cost".to_owned()));
    let theirs = line(&bo.get(&format!("{sheet}/shopping")).await);
    assert!(
        !theirs.contains("you have") && theirs.ends_with("6 jars of 1 kg60.00"),
        "{theirs}"
    );
}
