//! Fining, wood and spice: the least first, and a day on which to taste that the plan then has.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, What, Why};

use super::{DAY, Mead};

const AMOUNT: &str = "How much went in";

#[tokio::test]
async fn the_least_is_proposed_and_the_day_to_taste_comes_into_the_plan() {
    let mead = Mead::that_stands().await;
    let page = mead.page("/clearing-and-taste?thing=oak-cubes").await;
    assert_eq!(page.value(AMOUNT), "20 g", "1 g in a litre");
    let chosen = page.words_of("#chosen").unwrap();
    // 28 days from the 28th of November.
    assert!(chosen.contains("26 December 2026"), "{chosen}");
    let done = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        (data["what"].as_str(), data["grams"].as_f64()),
        (Some("wood"), Some(20.0))
    );
    let plan = mead.browser.get(&format!("{}/plan", mead.batch)).await;
    assert!(
        plan.text.contains("Take out Oak cubes, toasted"),
        "{}",
        plan.text
    );
    let step = plan.link("Take out Oak cubes, toasted").expect("its step");
    let step = mead.browser.get(&step).await;
    assert!(step.text.contains("Taste every few days"), "{}", step.text);
    let done = mead.browser.submit(&step, "Done", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
}

#[tokio::test]
async fn fining_comes_after_the_sugar_and_names_its_allergen() {
    let mead = Mead::that_stands().await;
    let page = mead.page("/clearing-and-taste?thing=isinglass").await;
    assert!(
        page.text.contains("an allergen that must be named"),
        "{}",
        page.text
    );
    assert!(
        page.text.contains("Sweeten it first"),
        "its recipe is sweet"
    );
    let sugar = Addition {
        why: Some(Why::Sweeten),
        kg: Some(0.5),
        ..Addition::of("honey", What::Honey)
    };
    mead.wrote(60.0 * DAY, Deed::Addition(sugar)).await;
    let page = mead.page("/clearing-and-taste?thing=isinglass").await;
    assert!(!page.text.contains("Sweeten it first"), "it was sweetened");
    let done = mead
        .browser
        .submit(&page, "It went in", &[(AMOUNT, "much")])
        .await;
    assert_eq!(done.status, 422);
    assert_eq!(done.value(AMOUNT), "much");
    let other = mead.page("/clearing-and-taste?thing=nothing").await;
    assert!(other.words_of("#chosen").is_none());
}
