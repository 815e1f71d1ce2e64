//! With script: faults of a live edit are the field's own, and choices follow what is typed; the focus stays.

use super::{STRENGTH, VOLUME, sign_in};
use crate::support::{Chromium, Club, a_member, in_chromium};

/// Whether a field is marked as faulty, and what a screen reader reads after its name.
async fn marked(page: &Chromium, id: &str) -> (bool, String) {
    let field = format!("document.getElementById('{id}')");
    let invalid = page
        .tell(&format!("{field}.getAttribute('aria-invalid') === 'true'"))
        .await;
    let described = page
        .tell(&format!(
            "{field}.getAttribute('aria-describedby').split(' ').map(id => words(document.getElementById(id))).filter(text => text).join('; ')"
        ))
        .await;
    (invalid == "true", described)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_live_fault_marks_its_field_and_leaves_with_its_cause() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        page.open("/recipes/new").await;
        assert!(!marked(&page, "volume").await.0);
        page.put(VOLUME, "lots").await;
        page.until("words(document.querySelector('#volume-fault')) !== ''")
            .await;
        let (invalid, described) = marked(&page, "volume").await;
        assert!(invalid, "the field is not marked");
        assert!(described.contains("Fault: "), "{described}");
        assert!(!marked(&page, "strength").await.0, "only its own field");
        assert_eq!(page.focused().await, "volume");
        page.until("words(document.querySelector('[data-live-say]')).includes('such as 20 L')")
            .await;
        assert_eq!(page.focused().await, "volume");
        page.put(VOLUME, "10 L").await;
        page.until("words(document.querySelector('#volume-fault')) === ''")
            .await;
        assert!(!marked(&page, "volume").await.0, "the mark stays for ever");
        assert_eq!(page.focused().await, "volume");
        // A fault that came with the page goes in the same way.
        page.put(STRENGTH, "strong").await;
        page.press_to("Recalculate").await;
        assert!(marked(&page, "strength").await.0);
        page.put(STRENGTH, "12 %").await;
        page.until("words(document.querySelector('#strength-fault')) === ''")
            .await;
        assert!(!marked(&page, "strength").await.0);
        assert_eq!(page.focused().await, "strength");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_calculation_follows_what_is_typed_and_so_does_its_address() {
    let club = Club::open().await;
    in_chromium(&club, |page| async move {
        page.open("/calculations/alcohol").await;
        let address = "location.pathname + location.search";
        assert_eq!(page.tell(address).await, "/calculations/alcohol");
        page.put("Gravity now", "1.010").await;
        page.until("words(document.querySelector('.lead')).includes('to 1.010')")
            .await;
        assert_eq!(page.focused().await, "fg");
        page.until("location.search.includes('fg=1.010')").await;
        let kept = page.tell(address).await;
        let answer = page.words_of(".answer").await;
        page.put("Gravity now", "wet").await;
        page.until("words(document.querySelector('#fg-fault')) !== ''")
            .await;
        page.until("words(document.querySelector('.answer')).includes('None yet')")
            .await;
        // Nothing is lost by leaving, so nobody is asked; the address brings the same answer back.
        page.open(&kept).await;
        assert_eq!(page.value("Gravity now").await, "1.010");
        assert_eq!(page.words_of(".answer").await, answer);
    })
    .await;
}

/// The words of what the filler may be, and of what is chosen.
async fn fillers(page: &Chromium) -> (String, String) {
    let all = "[...document.getElementById('filler').options].map(words).join(', ')";
    let chosen = "words(document.getElementById('filler').selectedOptions[0])";
    (page.tell(all).await, page.tell(chosen).await)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_may_fill_up_follows_the_ingredients() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        page.open("/recipes/new").await;
        page.press_to("Add fruit, juice, spice or anything else")
            .await;
        page.choose("Ingredient, Ingredient 1", "Apple juice").await;
        page.until("document.getElementById('filler').options.length === 2")
            .await;
        assert_eq!(page.focused().await, "other-1-pick");
        page.choose("What fills up", "Apple juice").await;
        page.press("Its own name, make-up and price, Ingredient 1")
            .await;
        page.put("Called, Ingredient 1", "Windfalls").await;
        page.until("words(document.getElementById('filler')).includes('Windfalls')")
            .await;
        let both = ("water, Windfalls".to_owned(), "Windfalls".to_owned());
        assert_eq!(fillers(&page).await, both);
        assert_eq!(page.focused().await, "other-1-name");
        page.put("Called, Ingredient 1", " ").await;
        page.choose("Ingredient, Ingredient 1", "choose").await;
        page.until("words(document.querySelector('#filler-fault')).includes('no longer an ingredient')")
            .await;
        let (_, chosen) = fillers(&page).await;
        assert!(["Windfalls", "Apple juice"].contains(&chosen.as_str()), "{chosen}");
        page.press_to("Remove Ingredient 1").await;
        let (_, chosen) = fillers(&page).await;
        assert!(["Windfalls", "Apple juice"].contains(&chosen.as_str()), "{chosen}");
        page.choose("What fills up", "water").await;
        page.until("words(document.querySelector('#filler-fault')) === ''")
            .await;
        page.until("document.getElementById('filler').options.length === 1 || document.activeElement.id === 'filler'")
            .await;
    })
    .await;
}
