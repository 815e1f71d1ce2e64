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
    let way = "Call it off, with everything that was said";
    let ask = ada.browser.get(&page.link(way).unwrap()).await;
    assert!(
        ask.text.contains("Nobody has said anything."),
        "{}",
        ask.text
    );
    let gone = ada.browser.submit(&ask, "Call it off", &[]).await;
    assert_eq!(gone.location(), Some("/tastings?done=gone"));
    assert_eq!(ada.browser.get(&tasting).await.status, 404);

    let other = ada.opens("shared", &[]).await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let page = wren.get(&other).await;
    assert_eq!(page.link(way), None, "what is called off is the host’s");
    assert_eq!(wren.get(&format!("{other}/off")).await.status, 404);
    let done = wren.submit(&page, "Close the tasting", &[]).await;
    assert_eq!(done.status, 303);
    // A page that was opened before it was closed.
    let late = [("closed", "no")];
    let late = ada.browser.post(&format!("{other}/off"), &late).await;
    assert_eq!(late.status, 409, "what is closed is read first");
    assert_eq!(
        wren.post(&format!("{other}/off"), &[("closed", "yes")])
            .await
            .status,
        404
    );
    let page = ada.browser.get(&other).await;
    let ask = ada
        .browser
        .get(&page.link("Delete this tasting").unwrap())
        .await;
    assert_eq!(ask.heading(), "Delete this tasting?");
    let gone = ada.browser.submit(&ask, "Delete it", &[]).await;
    assert_eq!(gone.status, 303, "{}", gone.text);
    assert_eq!(ada.browser.get(&other).await.status, 404);
    assert_eq!(bo.get(&other).await.status, 404);
}

#[tokio::test]
async fn a_recipes_sheet_leads_to_a_tasting_of_its_batches() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let batch = format!("/batches/{}", ada.batches[0]);
    let recipe: String = sqlx::query_scalar(
        "select r.public_id from recipes r join revisions v on v.recipe_id = r.id
         join batches b on b.revision_id = v.id where b.public_id = $1",
    )
    .bind(&ada.batches[0])
    .fetch_one(club.pool())
    .await
    .unwrap();
    let sheet = ada.browser.get(&format!("/recipes/{recipe}")).await;
    let list = ada
        .browser
        .get(&sheet.link("taste its batches").unwrap())
        .await;
    let filled = |page: &crate::support::Page, label: &str| page.value(label);
    let both = ada.browser.get(&list.link("Taste together").unwrap()).await;
    let (one, other) = (filled(&both, "Mead 1"), filled(&both, "Mead 2"));
    let mut found = vec![one, other];
    found.sort();
    let mut wanted = ada.batches.clone();
    wanted.sort();
    assert_eq!(found, wanted);
    assert_eq!(both.value("Mead 3"), "");
    // What was poured away cannot be tasted.
    sqlx::query(
        "update batches set ended_at = now(), how_it_ended = 'poured away' where public_id = $1",
    )
    .bind(&ada.batches[0])
    .execute(club.pool())
    .await
    .unwrap();
    let two = ada
        .browser
        .get(&list.link("Can anybody tell two apart?").unwrap())
        .await;
    assert_eq!(filled(&two, "One mead"), ada.batches[1]);
    assert_eq!(filled(&two, "The other mead"), "");
    assert_eq!(ada.browser.get(&batch).await.status, 200);
}

/// Nobody reads for ever nothing because a host went: a keeper closes it, and learns no more than whose it was.
#[tokio::test]
async fn what_a_host_who_left_had_open_is_closed_by_a_keeper() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada
        .opens("shared", &[("What it is called", "Secret sip")])
        .await;
    let bo = member(&club, "Bo").await;
    seated(&bo, &tasting).await;
    says(&bo, &format!("{tasting}/seat"), 1, &[(LIKING, "7")]).await;
    sqlx::query("update tastings set visibility = 'private'")
        .execute(club.pool())
        .await
        .unwrap();
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let close = format!("{tasting}/close");
    assert_eq!(
        wren.post(&close, &[]).await.status,
        404,
        "its host is there"
    );
    assert!(!wren.get("/tastings").await.text.contains("Left open"));
    sqlx::query("update members set disabled_at = now(), left_at = now() where id = $1")
        .bind(ada.host.id.0)
        .execute(club.pool())
        .await
        .unwrap();
    assert_eq!(bo.post(&close, &[]).await.status, 404, "a keeper alone");
    assert!(!bo.get("/tastings").await.text.contains("Left open"));
    let list = wren.get("/tastings").await;
    assert!(list.text.contains("Left open"), "{}", list.text);
    assert!(!list.text.contains("Secret sip"), "not what it is about");
    assert_eq!(wren.get(&tasting).await.status, 404);
    let done = wren.post(&close, &[]).await;
    assert_eq!(done.location(), Some("/tastings?done=closed"));
    assert!(!wren.follow(done).await.text.contains("Left open"));
    let read = bo.get(&tasting).await;
    assert!(read.text.contains("7 of 9 on average"), "{}", read.text);
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
