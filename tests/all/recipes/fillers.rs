//! What fills up: the choices follow the ingredients, and one that is gone keeps its name.

use super::{NEW, SAVE, a_club, all_words, live, saved};
use crate::support::Page;

const ADD: &str = "Add fruit, juice, spice or anything else";
const FILLER: &str = "What fills up";
const PICK: &str = "Ingredient, Ingredient 1";

/// The words of the choices that a page or a live answer offers.
fn offered(page: &Page) -> Vec<String> {
    all_words(page, "[data-live-region=filler-choices] option")
}

/// The words of what is chosen on a page.
fn chosen(page: &Page) -> String {
    page.words_of("#filler option[selected]")
        .unwrap_or_default()
}

#[tokio::test]
async fn the_choices_follow_a_live_edit() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let form = browser.submit(&form, ADD, &[("Name", "Filled")]).await;
    assert_eq!(offered(&form), ["water"]);
    let picked = [(PICK, "apple-juice"), ("Amount, Ingredient 1", "2 L")];
    let answer = live(&browser, &club, &form, &picked).await;
    assert_eq!(offered(&answer), ["water", "Apple juice"]);
    let named = [
        picked[0],
        picked[1],
        ("Called, Ingredient 1", "Our own juice"),
    ];
    let answer = live(&browser, &club, &form, &named).await;
    assert_eq!(offered(&answer), ["water", "Our own juice"]);
}

#[tokio::test]
async fn what_was_chosen_keeps_its_name_when_it_is_renamed_or_gone() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let form = browser.submit(&form, ADD, &[("Name", "Filled")]).await;
    let page = browser
        .submit(
            &form,
            "Recalculate",
            &[(PICK, "apple-juice"), (FILLER, "other-1")],
        )
        .await;
    assert_eq!(chosen(&page), "Apple juice");
    let renamed = [("Called, Ingredient 1", "Our own juice")];
    let page = browser.submit(&page, "Recalculate", &renamed).await;
    assert_eq!(chosen(&page), "Our own juice");
    assert_eq!(page.fault(FILLER), "");

    // No longer chosen, though its row is there.
    let cleared = [("Called, Ingredient 1", ""), (PICK, "")];
    let answer = live(&browser, &club, &page, &cleared).await;
    assert_eq!(offered(&answer), ["water", "Our own juice"]);
    let unpicked = browser.submit(&page, "Recalculate", &cleared).await;
    let removed = browser.submit(&page, "Remove Ingredient 1", &[]).await;
    // A row added in its place bears its key; the recipe is not filled up with it unasked.
    let replaced = browser.submit(&removed, ADD, &[]).await;
    let replaced = browser
        .submit(
            &replaced,
            "Recalculate",
            &[(PICK, "cinnamon"), ("Amount, Ingredient 1", "2 g")],
        )
        .await;
    for page in [unpicked, removed, replaced] {
        assert_eq!(chosen(&page), "Our own juice");
        let fault = page.fault(FILLER);
        assert!(
            fault.starts_with("Our own juice is no longer an ingredient"),
            "{fault}"
        );
        let kept = browser.submit(&page, SAVE, &[]).await;
        assert_eq!(
            (kept.status, chosen(&kept).as_str()),
            (422, "Our own juice")
        );
        let water = browser
            .submit(&page, "Recalculate", &[(FILLER, "water")])
            .await;
        assert_eq!(water.fault(FILLER), "");
        assert_eq!(offered(&water)[0], "water");
        assert!(!offered(&water).contains(&"Our own juice".to_owned()));
    }
}

#[tokio::test]
async fn a_saved_filler_is_chosen_when_the_recipe_is_edited() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let form = browser.submit(&form, ADD, &[("Name", "Filled")]).await;
    let done = browser
        .submit(&form, SAVE, &[(PICK, "apple-juice"), (FILLER, "other-1")])
        .await;
    let sheet = super::sheet_of(&done);
    let page = browser.get(&format!("{sheet}/edit")).await;
    assert_eq!(chosen(&page), "Apple juice");
    assert_eq!(offered(&page), ["water", "Apple juice"]);
    let plain = saved(&browser, &[("Name", "Plain")]).await;
    let page = browser.get(&format!("{plain}/edit")).await;
    assert_eq!(chosen(&page), "water");
}
