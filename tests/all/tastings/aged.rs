//! A batch as it ages: each tasting of its log at its age with what changed, and the tastings at which it was poured.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::Tasting;

use super::{hosted, member, says, seated};
use crate::batches::wrote;
use crate::support::Club;

#[tokio::test]
async fn a_batch_tells_how_it_tasted_and_what_changed() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let batch = format!("/batches/{}", ada.batches[0]);
    let empty = ada.browser.get(&batch).await;
    assert!(empty.text.contains("Nobody has tasted it yet"));
    for (days, liking, warmth) in [(60.0, 4, 2), (200.0, 7, 0)] {
        let deed = Deed::Tasting(Tasting {
            liking: Some(liking),
            warmth: Some(warmth),
            ..Tasting::default()
        });
        wrote(&club, &ada.host, &batch, days * 24.0, deed).await;
    }
    let page = ada.browser.get(&batch).await;
    let tasted = page.words_of("#tasted").unwrap();
    assert!(tasted.contains("At 60 days"), "{tasted}");
    assert!(tasted.contains("At 7 months"), "{tasted}");
    assert!(tasted.contains("liked more, 7 of 9 after 4"), "{tasted}");
    assert!(
        tasted.contains("warmth just right, before much too much"),
        "{tasted}"
    );
}

#[tokio::test]
async fn its_page_leads_to_the_tastings_that_its_reader_may_know_of() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let batch = format!("/batches/{}", ada.batches[0]);
    let tasting = ada
        .opens("shared", &[("What it is called", "Behind a code")])
        .await;
    let bo = member(&club, "Bo").await;
    // While glasses bear codes, a batch does not tell that it is in one; its host knows.
    assert!(!bo.get(&batch).await.text.contains("Behind a code"));
    assert!(ada.browser.get(&batch).await.text.contains("Behind a code"));
    seated(&bo, &tasting).await;
    says(&bo, &format!("{tasting}/seat"), 1, &[("Honey", "0")]).await;
    ada.closes(&tasting).await;
    assert!(bo.get(&batch).await.text.contains("Behind a code"));
    let page = ada.browser.get(&batch).await;
    let together = page.link("Taste it with others").expect("a way on");
    let form = ada.browser.get(&together).await;
    assert_eq!(form.value("Mead 1"), ada.batches[0]);
}

/// Written by its form, with words for each side, and corrected as it was.
#[tokio::test]
async fn a_tasting_is_written_and_corrected_with_all_its_sides() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let batch = format!("/batches/{}", ada.batches[0]);
    let form = ada.browser.get(&format!("{batch}/log/tasting")).await;
    let said = [
        ("How much do you like it?", "8"),
        ("Finish", "long"),
        ("Bubbles", "-1"),
        ("Warmth of the alcohol", "2"),
    ];
    let done = ada.browser.submit(&form, "Write it down", &said).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada.browser.get(&batch).await;
    let tasted = page.words_of("#tasted").unwrap();
    for words in [
        "8 of 9",
        "finish: long",
        "sparkle a little too little",
        "warmth much too much",
    ] {
        assert!(tasted.contains(words), "{words}: {tasted}");
    }
}
