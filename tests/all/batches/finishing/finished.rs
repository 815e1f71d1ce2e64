//! Is it finished? What is missing, when to read again, and a reason for going on.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::Reading;

use super::{DAY, Mead, read};

#[tokio::test]
async fn two_equal_readings_two_weeks_apart_are_an_answer() {
    let mead = Mead::that_stands().await;
    let page = mead.page("/finished").await;
    let lead = page.words_of(".lead").unwrap();
    assert!(lead.starts_with("Yes: 0.998 on 20 October 2026"), "{lead}");
    assert!(page.text.contains("At most"), "{}", page.text);
    assert!(!page.has_button("Go on all the same"));
    assert!(page.link("Go on to stabilising").is_some());
}

#[tokio::test]
async fn it_says_what_is_missing_and_when_to_read_again() {
    let mead = Mead::of_the_autumn().await;
    let page = mead.page("/finished").await;
    assert!(
        page.text.contains("One reading counts so far."),
        "{}",
        page.text
    );
    assert!(page.text.contains("Read it now"), "two weeks have gone by");
    mead.read(65.0, read(0.996)).await;
    let page = mead.page("/finished").await;
    assert!(
        page.text.contains("falls: 2 points in the last 35 days"),
        "{}",
        page.text
    );
    assert!(
        page.text.contains("8 December 2026"),
        "two weeks after the last: {}",
        page.text
    );
    let overview = mead.page("").await;
    assert!(
        overview.text.contains("8 December 2026"),
        "and on the page that leads"
    );
}

#[tokio::test]
async fn gas_and_cold_do_not_count_and_gas_stirred_out_before_does() {
    let mead = Mead::of_the_autumn().await;
    let bare = Reading {
        sg: Some(0.998),
        ..Reading::default()
    };
    mead.read(44.5, bare).await;
    let page = mead.page("/finished").await;
    assert!(
        page.text
            .contains("nobody said that the gas was stirred out"),
        "{}",
        page.text
    );
    assert!(
        page.text.contains("is not written down"),
        "nor how warm it was"
    );
    mead.wrote(44.5 * DAY - 1.0, Deed::Degas).await;
    let warm = Reading {
        must_temperature_c: Some(17.0),
        ..Reading::default()
    };
    mead.read(44.6, warm).await;
    let page = mead.page("/finished").await;
    assert!(
        !page.text.contains("nobody said that the gas"),
        "stirred an hour before"
    );
    assert!(
        page.text.contains("Below 18 °C yeast sleeps"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn going_on_all_the_same_needs_a_reason_that_stays_in_the_log() {
    let mead = Mead::of_the_autumn().await;
    let page = mead.page("/finished").await;
    let refused = mead.browser.submit(&page, "Go on all the same", &[]).await;
    assert_eq!(refused.status, 422);
    assert!(refused.text.contains("<title>Error: "), "{}", refused.text);
    assert!(!refused.fault("Why you go on").is_empty());
    let why = [("Why you go on", "It goes into a keg and stays cold.")];
    let done = mead.browser.submit(&page, "Go on all the same", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(done.location(), Some(mead.at("/stabilise").as_str()));
    let again = mead.browser.submit(&page, "Go on all the same", &why).await;
    assert_eq!(
        again.location(),
        done.location(),
        "sent twice, written once"
    );
    let (kind, data) = mead.last().await;
    assert_eq!(kind, "step");
    assert_eq!(data["reason"], "It goes into a keg and stays cold.");
    let reasons = mead.log().await;
    let steps = reasons.iter().filter(|(kind, _)| kind == "step").count();
    assert_eq!(steps, 1);
    let sheet = mead.browser.get(&mead.batch).await;
    let log = sheet.words_of("#log").unwrap();
    assert!(
        log.contains("Left out: Waiting until it is surely finished"),
        "{log}"
    );
    assert!(
        mead.page("/finished")
            .await
            .text
            .contains("You went on, because:")
    );
}
