//! The shopping list and what to have ready: rounded up to what shops sell, as private as the recipe, prices only where given.

use mustwright::web::units::Units;

use super::{NEW, SAVE, VOLUME, a_club, all_words, another, attributes, saved, sheet_of};
use crate::support::Page;

fn line(page: &Page, what: &str) -> String {
    let rows = all_words(page, ".buys tbody tr");
    let found = rows.iter().find(|row| row.starts_with(what));
    found
        .unwrap_or_else(|| panic!("no {what}: {rows:?}"))
        .clone()
}

#[tokio::test]
async fn everything_is_on_the_list_and_rounded_up() {
    let (_club, _, browser) = a_club().await;
    let path = saved(&browser, &[("Name", "Listed"), (VOLUME, "19 L")]).await;
    let page = browser.get(&format!("{path}/shopping")).await;
    assert_eq!((page.status, page.heading().as_str()), (200, "Listed"));
    assert!(line(&page, "Wildflower").ends_with("6 jars of 1 kg"));
    assert!(line(&page, "Champagne-type").contains("sachet"));
    assert!(line(&page, "Mixed nutrient").contains("level teaspoons"));
    assert!(line(&page, "Bottles").contains("bottles of 750 ml"));
    assert!(line(&page, "Corks or caps").contains("two of them to spare"));
    assert!(
        all_words(&page, ".tools li")
            .iter()
            .any(|tool| tool.contains("hydrometer"))
    );
    let evenings = all_words(&page, ".evenings tbody tr");
    assert!(
        evenings
            .iter()
            .any(|row| row.starts_with("Feed") && row.ends_with("five minutes each")),
        "{evenings:?}"
    );
    let long = all_words(&page, ".evenings b");
    assert_eq!(long.len(), 2, "mixing and bottling: {long:?}");
    // No price is known, none is told.
    assert!(page.words_of("tfoot").is_none());
    // What it takes leads to how that is reckoned.
    let ways = attributes(&page, "href");
    let numbers: Vec<&String> = ways
        .iter()
        .filter(|way| way.contains("/numbers/"))
        .collect();
    assert!(numbers.len() > 4, "{numbers:?}");
    for way in numbers {
        assert_eq!(browser.get(way).await.status, 200, "{way}");
    }
    let twice = browser.get(&format!("{path}/shopping?volume=38+L")).await;
    assert!(line(&twice, "Wildflower").ends_with("11 jars of 1 kg"));
}

#[tokio::test]
async fn prices_of_the_recipe_are_told_for_whole_jars() {
    let (_club, _, browser) = a_club().await;
    let priced = [
        ("Name", "Priced"),
        (VOLUME, "19 L"),
        ("Price, Honey 1", "10"),
    ];
    let path = saved(&browser, &priced).await;
    let page = browser.get(&format!("{path}/shopping")).await;
    assert!(
        line(&page, "Wildflower").ends_with("60.00"),
        "{}",
        line(&page, "Wildflower")
    );
    let foot = page.words_of("tfoot").expect("a sum");
    assert!(
        foot.starts_with("What has a price,") && foot.ends_with("60.00"),
        "{foot}"
    );
}

#[tokio::test]
async fn tools_follow_the_recipe_on_the_sheet_too() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let add = "Add fruit, juice, spice or anything else";
    let form = browser.submit(&form, add, &[]).await;
    let typed = [
        ("Name", "Bagged"),
        ("Ingredient, Ingredient 1", "sour-cherry"),
        ("Amount, Ingredient 1", "4 kg"),
        ("When, Ingredient 1", "primary"),
        ("How it ends", "sweeten"),
        ("Gravity at the end", "1.015"),
    ];
    let done = browser.submit(&form, SAVE, &typed).await;
    let path = sheet_of(&done);
    let sheet = browser.get(&path).await;
    let tools = all_words(&sheet, ".tools li").join("; ");
    assert!(tools.contains("a bag for the fruit"), "{tools}");
    assert!(tools.contains("aired room for the sulfite"), "{tools}");
    let steps = all_words(&sheet, ".steps li").join(" ");
    assert!(steps.contains("The fruit comes out."), "{steps}");
    let list = browser.get(&format!("{path}/shopping")).await;
    assert!(line(&list, "Sour cherry").contains("4 kg"));
    assert!(line(&list, "Potassium sorbate").contains("up to"));
}

#[tokio::test]
async fn a_list_is_as_private_as_its_recipe() {
    let (club, _, browser) = a_club().await;
    let path = saved(&browser, &[("Name", "Mine")]).await;
    let blythe = another(&club, "Blythe", Units::Us).await;
    assert_eq!(blythe.get(&format!("{path}/shopping")).await.status, 404);
    let away = club.browser().get(&format!("{path}/shopping")).await;
    assert!(
        away.location()
            .is_some_and(|to| to.starts_with("/sign-in?next="))
    );
}
