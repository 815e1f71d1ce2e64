//! With script: from the one-time link to one's own recipe, every number following the typing.

use thirtyfour::Key;

use super::{
    OTHER_VOLUME, STRENGTH, VOLUME, leaves_nothing_behind, number, set_up, set_up_path, sign_in,
    water,
};
use crate::support::{Chromium, Club, in_chromium};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_keeper_formulates_saves_scales_and_starts_their_own() {
    let club = Club::open().await;
    let path = set_up_path(&club).await;
    in_chromium(&club, |page| async move {
        set_up(&page, &path).await;
        page.press_to("Sign out").await;
        sign_in(&page, "Wren Ashby").await;

        page.press_to("Make my first mead").await;
        page.press_to("Show the whole form from now on").await;
        page.open("/recipes/new").await;
        page.put("Name", "Hedgerow").await;
        fields_follow_the_aim(&page).await;
        numbers_follow_the_typing(&page).await;
        a_fault_stands_beside_its_field(&page).await;

        page.press_to("Save as revision 1").await;
        assert_eq!(page.heading().await, "Hedgerow");
        assert!(page.words().await.contains("Saved as revision 1."));
        assert_eq!(number(&page, "strength").await, "14 %");
        let at_home = water(&page).await;
        page.driver.refresh().await.expect("the page again");
        assert_eq!(number(&page, "strength").await, "14 %");
        assert_eq!(water(&page).await, at_home);

        page.put(OTHER_VOLUME, "2.5 US gal").await;
        page.press_to("Show").await;
        assert_ne!(water(&page).await, at_home);
        assert_eq!(number(&page, "strength").await, "14 %");
        assert_eq!(page.value(OTHER_VOLUME).await, "2.5 US gal");
        page.press_to("At its own volume").await;
        assert_eq!(water(&page).await, at_home);

        let original = page.tell("location.pathname").await;
        page.press_to("Start my own from this").await;
        page.put("Name", "Hedgerow, drier").await;
        page.press_to("Save as revision 1").await;
        assert_eq!(page.heading().await, "Hedgerow, drier");
        let source = "Hedgerow by Wren Ashby, revision 1";
        page.press_to(source).await;
        assert_eq!(page.heading().await, "Hedgerow");
        let at = page.tell("location.pathname").await;
        assert_eq!(at, format!("{original}/revisions/1"));

        leaves_nothing_behind(&page, "Hedgerow").await;
    })
    .await;
}

/// What the aim and the finish have no use for is out of the way.
async fn fields_follow_the_aim(page: &Chromium) {
    assert!(page.shows(STRENGTH).await);
    for label in [
        "Gravity at the start",
        "Honey there is",
        "Gravity at the end",
    ] {
        assert!(!page.shows(label).await, "{label}");
    }
    page.choose("Aim for", "a gravity, from the honey I have")
        .await;
    assert!(!page.shows(STRENGTH).await);
    for label in ["Gravity at the start", "Honey there is"] {
        assert!(page.shows(label).await, "{label}");
    }
    page.choose("Aim for", "a strength").await;
    page.choose("How it ends", "dry, then sweetened").await;
    assert!(page.shows("Gravity at the end").await);
    page.put("Gravity at the end", "1.012").await;
    page.until("words(document.querySelector('#final_gravity-note')) === 'semi-sweet'")
        .await;
}

/// The numbers change; focus, caret and undo are as they were.
async fn numbers_follow_the_typing(page: &Chromium) {
    page.put(STRENGTH, "12").await;
    page.until("words(document.querySelector('#how-strength strong')) === '12 %'")
        .await;
    let glance = page.words_of("[data-live-region=glance]").await;
    page.put(STRENGTH, "14").await;
    page.until("words(document.querySelector('#how-strength strong')) === '14 %'")
        .await;
    assert_eq!(page.focused().await, "strength");
    assert_eq!(
        page.tell("document.activeElement.selectionStart").await,
        "2"
    );
    assert_ne!(page.words_of("[data-live-region=glance]").await, glance);
    assert!(page.words_of(".lead").await.contains("14 %"));

    page.put(VOLUME, "9 L").await;
    page.until("words(document.querySelector('#volume-note')).includes('2.38 gal')")
        .await;
    page.keys(Key::Home + "1").await;
    page.until("words(document.querySelector('#volume-note')).includes('5.02 gal')")
        .await;
    assert_eq!(page.value(VOLUME).await, "19 L");
    assert_eq!(
        page.tell("document.activeElement.selectionStart").await,
        "1"
    );
    page.keys(Key::Control + "z").await;
    page.until("words(document.querySelector('#volume-note')).includes('2.38 gal')")
        .await;
    assert_eq!(page.value(VOLUME).await, "9 L");
    assert_eq!(page.focused().await, "volume");

    // A number that is open stays open while others are redrawn.
    page.press("strength 14 % after sweetening; the yeast could reach 17 % how it is reckoned")
        .await;
    page.put(VOLUME, "19 L").await;
    page.until("words(document.querySelector('#volume-note')).includes('5.02 gal')")
        .await;
    assert_eq!(
        page.tell("document.querySelector('#how-strength').open")
            .await,
        "true"
    );
}

/// A fault shows beside its field while one types, moves nothing, and goes with its cause.
async fn a_fault_stands_beside_its_field(page: &Chromium) {
    page.put(VOLUME, "1e400 L").await;
    page.until("words(document.querySelector('#volume-fault')) !== ''")
        .await;
    assert_eq!(page.focused().await, "volume");
    assert_eq!(page.value(VOLUME).await, "1e400 L");
    assert_eq!(
        page.tell("document.querySelectorAll('.problem').length")
            .await,
        "0"
    );
    page.press_to("Save as revision 1").await;
    assert_eq!(page.words_of(".problem h2").await, "There is a problem");
    assert_eq!(page.focused().await, "problem");
    assert_eq!(page.value(VOLUME).await, "1e400 L");
    assert_eq!(page.value("Name").await, "Hedgerow");
    page.put(VOLUME, "19 L").await;
    page.until("words(document.querySelector('#volume-fault')) === ''")
        .await;
    page.until("words(document.querySelector('#how-strength strong')) === '14 %'")
        .await;
}
