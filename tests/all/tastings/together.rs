//! Tasting together: nobody reads what others said before the end, then everybody who said something does.

use super::{comes_in, hosted, invited, member, says, seated};
use crate::support::{Club, a_keeper};

const WHOLE: &str = "As a whole, in your own words";
const LIKING: &str = "How much do you like it?";

#[tokio::test]
async fn nobody_reads_what_others_said_before_the_end() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let tasting = ada.opens("shared", &[]).await;
    let (bo, cy) = (member(&club, "Bo").await, member(&club, "Cy").await);
    let seat = format!("{tasting}/seat");
    seated(&bo, &tasting).await;
    let done = says(&bo, &seat, 1, &[(WHOLE, "like wet slate"), (LIKING, "7")]).await;
    assert_eq!(done.location(), Some(format!("{seat}/2").as_str()));
    let done = says(&bo, &seat, 2, &[("Honey", "-1"), ("Aroma", "linden")]).await;
    assert_eq!(done.location(), Some(seat.as_str()));
    // One who has a seat and says nothing, one guest who says something, one who does not.
    seated(&cy, &tasting).await;
    let links = invited(&ada.browser, &tasting, 2).await;
    let (dee, eve) = (club.browser(), club.browser());
    let (of_dee, of_eve) = (
        comes_in(&dee, &links[0], "Dee").await,
        comes_in(&eve, &links[1], "Eve").await,
    );
    let done = says(&dee, &of_dee, 1, &[(WHOLE, "a burnt match")]).await;
    assert_eq!(done.status, 303, "{}", done.text);

    let host_reads = ["", "/guests", "/key", "/seat"].map(|end| format!("{tasting}{end}"));
    for path in host_reads.iter().chain([&"/tastings".to_owned()]) {
        let page = ada.browser.get(path).await;
        assert!(!page.text.contains("wet slate"), "{path}");
        assert!(!page.text.contains("burnt match"), "{path}");
    }
    assert!(!bo.get(&seat).await.text.contains("burnt match"));
    assert!(!dee.get(&of_dee).await.text.contains("wet slate"));
    // One's own words are there to be changed.
    let again = bo.get(&format!("{seat}/1")).await;
    assert_eq!(again.value(WHOLE), "like wet slate");
    assert_eq!(again.value(LIKING), "7");

    ada.closes(&tasting).await;
    for (who, browser, path) in [
        ("the host", &ada.browser, &tasting),
        ("a member", &bo, &tasting),
        ("the same on their sheet", &bo, &seat),
        ("a guest", &dee, &of_dee),
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, 200, "{who}");
        for words in [
            "like wet slate",
            "a burnt match",
            "7 of 9",
            "aroma: linden",
            "Dee, a guest",
            "Bo",
        ] {
            assert!(
                page.text.contains(words),
                "{who} reads {words}: {}",
                page.text
            );
        }
    }
    let outsider = member(&club, "Flo").await;
    for (who, browser, path) in [
        ("who said nothing", &cy, &tasting),
        ("who said nothing, on their sheet", &cy, &seat),
        ("a guest who said nothing", &eve, &of_eve),
        ("who was not there", &outsider, &tasting),
    ] {
        let page = browser.get(path).await;
        assert_eq!(page.status, 200, "{who}");
        for words in ["wet slate", "burnt match"] {
            assert!(!page.text.contains(words), "{who}: {}", page.text);
        }
    }
}

#[tokio::test]
async fn glasses_with_codes_tell_their_names_at_the_end() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let coded = ada.opens("shared", &[]).await;
    let bo = member(&club, "Bo").await;
    let page = seated(&bo, &coded).await;
    let seat = format!("{coded}/seat");
    for page in [
        page,
        bo.get(&coded).await,
        bo.get(&format!("{seat}/1")).await,
    ] {
        assert!(!page.text.contains("Batch 1"), "{}", page.text);
    }
    // Whoever pours needs the key; whoever tastes does not get it.
    let key = ada.browser.get(&format!("{coded}/key")).await;
    assert!(key.text.contains("Batch 1"), "{}", key.text);
    assert_eq!(bo.get(&format!("{coded}/key")).await.status, 404);
    says(&bo, &seat, 1, &[(LIKING, "5")]).await;
    ada.closes(&coded).await;
    assert!(bo.get(&coded).await.text.contains("Batch 1"));

    let named = ada.opens("shared", &[("their names", "")]).await;
    assert!(bo.get(&named).await.text.contains("Batch 1"));
}

#[tokio::test]
async fn what_is_closed_takes_nothing_and_loses_nothing_typed() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let bo = member(&club, "Bo").await;
    let seat = format!("{tasting}/seat");
    seated(&bo, &tasting).await;
    let form = bo.get(&format!("{seat}/1")).await;
    ada.closes(&tasting).await;
    let late = bo
        .submit(&form, "Write it down", &[(WHOLE, "too late, but long")])
        .await;
    assert_eq!(late.status, 409);
    assert!(late.text.contains("too late, but long"), "{}", late.text);
    let page = ada.browser.get(&tasting).await;
    assert!(!page.text.contains("too late"));
    // Nobody sits down any more.
    let cy = member(&club, "Cy").await;
    assert_eq!(cy.post(&seat, &[]).await.status, 409);
}

#[tokio::test]
async fn faults_stand_beside_their_fields() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let refused = ada
        .tries(
            "shared",
            &[("What it is called", ""), ("Mead 1", ""), ("Mead 2", "")],
        )
        .await;
    assert_eq!(refused.status, 422);
    assert!(
        refused
            .fault("What it is called")
            .starts_with("Write what it is called")
    );
    let refused = ada.tries("shared", &[("Mead 1", ""), ("Mead 2", "")]).await;
    assert_eq!(refused.fault("Mead 1"), "Choose a mead.");
    let twice = ada.batches[0].clone();
    let refused = ada.tries("shared", &[("Mead 2", &twice)]).await;
    assert!(refused.fault("Mead 2").starts_with("It is chosen above"));
    let refused = ada
        .tries("shared", &[("Mead 2", "aaaaaaaaaaaaaaaaaaaa")])
        .await;
    assert_eq!(refused.fault("Mead 2"), "Choose one of the list.");

    let tasting = ada.opens("shared", &[]).await;
    let seat = format!("{tasting}/seat");
    seated(&ada.browser, &tasting).await;
    let refused = says(&ada.browser, &seat, 1, &[]).await;
    assert_eq!(refused.status, 422);
    assert!(refused.fault(WHOLE).starts_with("Write a word or two"));
    let refused = says(&ada.browser, &seat, 1, &[(LIKING, "10")]).await;
    assert_eq!(refused.fault(LIKING), "Choose one of the list.");
    assert_eq!(refused.value(LIKING), "10");
    assert_eq!(ada.browser.get(&format!("{seat}/3")).await.status, 404);
}

#[tokio::test]
async fn the_host_closes_and_calls_off_and_a_keeper_closes() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let bo = member(&club, "Bo").await;
    for end in ["/close", "/off", "/guests"] {
        let page = bo.post(&format!("{tasting}{end}"), &[("count", "1")]).await;
        assert!([400, 404].contains(&page.status), "{end} {}", page.status);
    }
    assert!(
        ada.browser
            .get(&tasting)
            .await
            .has_button("Close the tasting")
    );
    let page = ada.browser.get(&tasting).await;
    let button = "Call it off, with everything that was said";
    let gone = ada.browser.submit(&page, button, &[]).await;
    assert_eq!(gone.location(), Some("/tastings"));
    assert_eq!(ada.browser.get(&tasting).await.status, 404);

    let other = ada.opens("shared", &[]).await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let page = wren.get(&other).await;
    assert!(!page.has_button(button), "what is called off is the host’s");
    let done = wren.submit(&page, "Close the tasting", &[]).await;
    assert_eq!(done.status, 303);
    let late = ada.browser.post(&format!("{other}/off"), &[]).await;
    assert_eq!(late.status, 409, "what is closed stays");
}

#[tokio::test]
async fn the_same_form_twice_opens_one_tasting() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let form = ada
        .browser
        .get(&format!(
            "/tastings/new?kind=shared&mead={}",
            ada.batches[0]
        ))
        .await;
    let said = [("What it is called", "Once")];
    let one = ada.browser.submit(&form, "Open it", &said).await;
    let two = ada.browser.submit(&form, "Open it", &said).await;
    assert_eq!(one.location(), two.location());
    let list = ada.browser.get("/tastings").await;
    assert_eq!(list.text.matches(">Once</a>").count(), 1);
}
