//! Without script: the same journey by buttons.

use super::{
    OTHER_VOLUME, STRENGTH, VOLUME, leaves_nothing_behind, number, set_up, set_up_path, sign_in,
    water,
};
use crate::support::{Club, in_chromium};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_journey_needs_no_script() {
    let club = Club::open().await;
    let path = set_up_path(&club).await;
    in_chromium(&club, |page| async move {
        page.without_script().await;
        set_up(&page, &path).await;
        page.press_to("Sign out").await;
        sign_in(&page, "Wren Ashby").await;

        page.press_to("Make my first mead").await;
        page.press_to("Show the whole form from now on").await;
        page.open("/recipes/new").await;
        page.put("Name", "Hedgerow").await;
        page.choose("How it ends", "dry, then sweetened").await;
        assert!(page.shows("Gravity at the end").await);
        page.put("Gravity at the end", "1.012").await;
        page.put(STRENGTH, "14").await;
        let untouched = page
            .tell("document.querySelector('form[data-dirty]')")
            .await;
        assert_eq!(untouched, "", "a script runs");
        page.press_to("Recalculate").await;
        assert_eq!(number(&page, "strength").await, "14 %");
        assert_eq!(page.value(STRENGTH).await, "14");
        assert_eq!(page.words_of("#final_gravity-note").await, "semi-sweet");

        page.press_to("Add fruit, juice, spice or anything else")
            .await;
        assert_eq!(page.tell("location.hash").await, "#other-1-pick");
        page.choose("Ingredient, Ingredient 1", "Blackberry").await;
        page.put("Amount, Ingredient 1", "2 kg").await;
        page.put(VOLUME, "much").await;
        page.press_to("Save as revision 1").await;
        assert_eq!(page.words_of(".problem h2").await, "There is a problem");
        assert_eq!(page.value(VOLUME).await, "much");
        assert_eq!(page.value("Amount, Ingredient 1").await, "2 kg");
        page.put(VOLUME, "19 L").await;
        page.press_to("Save as revision 1").await;
        assert_eq!(page.heading().await, "Hedgerow");
        assert!(page.words_of("table").await.contains("Blackberry"));
        assert_eq!(number(&page, "strength").await, "14 %");
        let at_home = water(&page).await;
        page.driver.refresh().await.expect("the page again");
        assert_eq!(water(&page).await, at_home);
        page.press("strength 14 % after sweetening; the yeast could reach 17 % how it is reckoned")
            .await;
        assert!(
            page.words().await.contains("0.469 kg of alcohol"),
            "the method opens"
        );

        page.put(OTHER_VOLUME, "2,5 US gal").await;
        page.press_to("Show").await;
        assert_ne!(water(&page).await, at_home);

        page.press_to("Start my own from this").await;
        page.put("Name", "Hedgerow, drier").await;
        page.press_to("Save as revision 1").await;
        page.press_to("Hedgerow by Wren Ashby, revision 1").await;
        assert_eq!(page.heading().await, "Hedgerow");

        leaves_nothing_behind(&page, "Hedgerow").await;
    })
    .await;
}
