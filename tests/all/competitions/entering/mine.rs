//! A maker's own entries: changed while entries are open, frozen afterwards, with labels that tell nothing.

use mustwright::competitions::model::Phase;
use mustwright::members::second::picture::Picture;

use super::{entered, open_for_bo, tries};
use crate::support::{Club, a_member};

async fn code(club: &Club) -> String {
    sqlx::query_scalar("select code from competition_entries")
        .fetch_one(club.pool())
        .await
        .unwrap()
}

#[tokio::test]
async fn two_open_forms_of_one_entry_lose_nothing() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let entry = entered(&bo, &held).await;
    let first = bo.get(&format!("{entry}/edit")).await;
    let second = bo.get(&format!("{entry}/edit")).await;
    let strength = "Strength, per cent by volume";
    let saved = bo.submit(&first, "Save", &[(strength, "11")]).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let lost = bo.submit(&second, "Save", &[(strength, "13.5")]).await;
    assert_eq!(lost.status, 409);
    let said = lost.words_of("#meanwhile").expect("both texts");
    assert!(said.contains("11") && said.contains("13.5"), "{said}");
    assert_eq!(lost.value(strength), "13.5");
    let again = bo.submit(&lost, "Save", &[]).await;
    assert_eq!(again.status, 303, "{}", again.text);
    assert!(bo.get(&entry).await.text.contains("13.5 %"));
}

#[tokio::test]
async fn an_entry_is_frozen_when_entries_close() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let entry = entered(&bo, &held).await;
    let form = bo.get(&format!("{entry}/edit")).await;
    held.stands_in(&club, Phase::Closed).await;
    let late = bo
        .submit(&form, "Save", &[("Strength, per cent by volume", "9")])
        .await;
    assert_eq!(late.status, 409, "{}", late.text);
    let page = bo.get(&entry).await;
    assert!(page.text.contains("12.5 %"), "{}", page.text);
    assert!(page.text.contains("frozen"));
    assert!(page.link("Change it").is_none() && !page.has_button("Withdraw it"));
    assert!(page.link("Labels for its bottles").is_some());
    let done = bo.post(&format!("{entry}/withdraw"), &[]).await;
    assert_eq!(done.status, 409, "the rule says until entries close");
}

#[tokio::test]
async fn labels_bear_the_code_and_lead_to_the_desk() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let entry = entered(&bo, &held).await;
    let code = code(&club).await;
    let page = bo.get(&format!("{entry}/labels")).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(page.text.matches("class=\"bottle-label").count(), 3);
    let label = page.words_of(".bottle-label").unwrap();
    assert!(
        label.contains(&code) && label.contains("Autumn meads"),
        "{label}"
    );
    let sheets = page.words_of(".label-sheets").unwrap();
    assert!(
        !sheets.contains("Heather") && !sheets.contains("Bo"),
        "{sheets}"
    );
    let desk = club.app.site.address(&format!("{}/desk/{code}", held.path));
    assert!(page.text.contains(&Picture::of(&desk).unwrap().path));
    let wrong = bo
        .get(&format!("{entry}/labels?sheet=a4-8&count=99&start=9"))
        .await;
    assert_eq!(wrong.status, 422);
    assert!(!wrong.fault("How many labels").is_empty());
    assert!(
        wrong
            .fault("First free place on the sheet")
            .contains("from 1 to 8")
    );
}

#[tokio::test]
async fn all_that_somebody_entered_is_labelled_at_once() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let (first, second) = (entered(&bo, &held).await, entered(&bo, &held).await);
    let mine = bo.get(&format!("{}/mine", held.path)).await;
    let at = mine.link("Labels for all their bottles").expect("a way");
    let page = bo.get(&at).await;
    assert_eq!(page.text.matches("class=\"bottle-label").count(), 6);
    let sheets = page.words_of(".label-sheets").unwrap();
    for entry in [&first, &second] {
        let labels = bo.get(&format!("{entry}/labels")).await;
        let code = labels.words_of(".label-code").unwrap();
        assert_eq!(sheets.matches(&code).count(), 3, "{sheets}");
    }
    bo.post(&format!("{first}/withdraw"), &[]).await;
    let left = bo.get(&at).await;
    assert_eq!(left.text.matches("class=\"bottle-label").count(), 3);
    held.stands_in(&club, Phase::Received).await;
    assert_eq!(bo.get(&at).await.status, 409, "the bottles are here");
}

#[tokio::test]
async fn whoever_made_it_too_finds_it_and_may_say_that_they_did_not() {
    let club = Club::open().await;
    let cleo = a_member().named("Cleo").of(&club).await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let form = bo.get(&format!("{}/enter", held.path)).await;
    let id: String = sqlx::query_scalar("select public_id from members where name = 'Cleo'")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert!(form.text.contains(&id), "{}", form.text);
    let done = tries(&bo, &held, &[("Made together with", &id)]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let entry = crate::batches::address(done.location());
    let cleo = club.browser_of(&cleo).await;
    let page = cleo.get(&entry).await;
    assert!(
        page.text.contains("made together with Cleo"),
        "{}",
        page.text
    );
    assert_eq!(cleo.get(&format!("{entry}/edit")).await.status, 404);
    assert_eq!(
        cleo.post(&format!("{entry}/withdraw"), &[]).await.status,
        404
    );
    let left = cleo.submit(&page, "I had no part in it", &[]).await;
    assert_eq!(left.status, 303, "{}", left.text);
    assert_eq!(cleo.get(&entry).await.status, 404);
    let kept = bo.get(&entry).await;
    assert_eq!(kept.status, 200);
    assert!(!kept.text.contains("together with Cleo"));
}
