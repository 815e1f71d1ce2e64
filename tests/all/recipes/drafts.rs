//! Drafts: kept while one types, found again, gone with the save.

use mustwright::web::units::Units;

use super::{
    NEW, SAVE, STRENGTH, a_club, all_words, another, count, edited, live_with, region, saved,
    sheet_of,
};

const OPEN: &str =
    "select count(*) from recipe_drafts where closed_at is null and thrown_at is null";

#[tokio::test]
async fn a_live_edit_keeps_a_draft_that_can_be_taken_up_and_saved() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    assert_eq!(count(&club, OPEN).await, 0, "looking keeps nothing");
    let typed = [("Name", "Half done"), (STRENGTH, "nearly 13")];
    let answer = live_with(&browser, &club, &form, &typed, &[("sequence", "3")]).await;
    assert!(
        region(&answer, "draft").starts_with("Draft kept"),
        "{}",
        answer.text
    );

    let list = browser.get("/recipes").await;
    let entries = all_words(&list, "section .entries li");
    assert!(entries[0].starts_with("Half donelast typed"), "{entries:?}");
    let way = list.link("Half done").expect("a way");
    let taken_up = browser.get(&way).await;
    assert_eq!(taken_up.value("Name"), "Half done");
    assert_eq!(
        taken_up.value(STRENGTH),
        "nearly 13",
        "also what makes no sense yet"
    );
    let done = browser.submit(&taken_up, SAVE, &[(STRENGTH, "13")]).await;
    sheet_of(&done);
    assert_eq!(count(&club, OPEN).await, 0, "gone with the save");
    assert_eq!(browser.get(&way).await.status, 404);
    assert!(browser.get("/recipes").await.text.contains("No drafts."));
}

#[tokio::test]
async fn late_arrivals_lose_and_quick_ones_are_asked_to_come_again() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let edit = async |name: &str, sequence: &str, at_once: bool| {
        let hidden = [("sequence", sequence), ("at_once", "1")];
        let hidden = if at_once { &hidden[..] } else { &hidden[..1] };
        live_with(&browser, &club, &form, &[("Name", name)], hidden).await
    };
    let kept = async || -> String {
        sqlx::query_scalar("select title from recipe_drafts")
            .fetch_one(club.pool())
            .await
            .expect("a draft")
    };
    edit("fifth", "5", false).await;
    assert_eq!(kept().await, "fifth");
    let late = edit("fourth", "4", true).await;
    assert_eq!(region(&late, "draft"), "A newer draft is kept.");
    assert_eq!(kept().await, "fifth");
    // Within two seconds of the last write: not yet, and told when to come again.
    let soon = edit("sixth", "6", false).await;
    assert_eq!(region(&soon, "draft"), "Draft is being kept.");
    assert!(
        soon.header("x-draft-again")
            .parse::<u32>()
            .is_ok_and(|ms| ms <= 2_050)
    );
    assert_eq!(kept().await, "fifth");
    edit("sixth", "6", true).await;
    assert_eq!(
        kept().await,
        "sixth",
        "what leaves the page is written at once"
    );

    // An edit that was under way when the recipe was saved does not bring the draft back.
    let (path, mut fields) = form.filled(SAVE, &[("Name", "seventh")]);
    fields.retain(|(name, _)| name != "sequence");
    fields.push(("sequence".to_owned(), "8".to_owned()));
    let done = browser.post(&path, &super::as_pairs(&fields)).await;
    sheet_of(&done);
    edit("seventh", "7", true).await;
    assert_eq!(count(&club, OPEN).await, 0);
}

#[tokio::test]
async fn a_button_without_script_keeps_the_draft_too_and_it_can_be_thrown_away() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let page = browser
        .submit(&form, "Add another honey", &[("Name", "By hand")])
        .await;
    assert!(region(&page, "draft").starts_with("Draft kept"));
    let page = browser
        .submit(&page, "Recalculate", &[("Name", "By hand, twice")])
        .await;
    assert_eq!(count(&club, OPEN).await, 1, "one form is one draft");
    // Another tab is another draft.
    let tab = browser.get(NEW).await;
    browser
        .submit(&tab, "Recalculate", &[("Name", "In a tab")])
        .await;
    assert_eq!(count(&club, OPEN).await, 2);
    let done = browser.submit(&page, "Throw this draft away", &[]).await;
    assert_eq!(done.location(), Some("/recipes?done=thrown"));
    assert_eq!(count(&club, OPEN).await, 1);
    let list = browser.get("/recipes").await;
    browser.submit(&list, "Throw away: In a tab", &[]).await;
    assert_eq!(count(&club, OPEN).await, 0);
}

#[tokio::test]
async fn the_draft_of_an_edit_goes_on_with_that_recipe() {
    let (club, _, browser) = a_club().await;
    let sheet = saved(&browser, &[("Name", "Ongoing")]).await;
    let form = browser.get(&format!("{sheet}/edit")).await;
    browser
        .submit(&form, "Recalculate", &[("Notes", "more honey?")])
        .await;
    let list = browser.get("/recipes").await;
    let drafts = all_words(&list, "section .entries h3 a");
    assert_eq!(drafts, ["Ongoing"]);
    let way: String = sqlx::query_scalar(
        "select '/drafts/' || public_id from recipe_drafts where closed_at is null",
    )
    .fetch_one(club.pool())
    .await
    .expect("a draft");
    let page = browser.get(&way).await;
    assert_eq!(page.value("Notes"), "more honey?");
    let done = browser.submit(&page, "Save as revision 2", &[]).await;
    assert_eq!(done.location(), Some(format!("{sheet}?saved=2").as_str()));
    assert_eq!(count(&club, OPEN).await, 0);

    // A draft whose recipe has moved on meanwhile meets the newer revision as a race.
    let form = browser.get(&format!("{sheet}/edit")).await;
    browser
        .submit(&form, "Recalculate", &[("Notes", "older")])
        .await;
    let way: String = sqlx::query_scalar(
        "select '/drafts/' || public_id from recipe_drafts where closed_at is null",
    )
    .fetch_one(club.pool())
    .await
    .expect("a draft");
    edited(&browser, &sheet, 3, &[("Notes", "newer")]).await;
    let page = browser.get(&way).await;
    let race = browser.submit(&page, "Save as revision 3", &[]).await;
    assert_eq!(race.status, 409);
    assert_eq!(race.value("Notes"), "older");
}

#[tokio::test]
async fn the_draft_of_a_copy_keeps_its_source() {
    let (club, _, ada) = a_club().await;
    let source = saved(&ada, &[("Name", "Source"), ("Who may see it", "club")]).await;
    let id = source.rsplit('/').next().unwrap();
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let form = blythe.get(&format!("{NEW}?from={id}")).await;
    blythe
        .submit(&form, "Recalculate", &[("Name", "Copy")])
        .await;
    let way = blythe.get("/recipes").await.link("Copy").expect("a draft");
    let page = blythe.get(&way).await;
    let done = blythe.submit(&page, SAVE, &[]).await;
    let sheet = blythe.get(&sheet_of(&done)).await;
    assert!(sheet.link("Source by Ada, revision 1").is_some());
    assert_eq!(
        ada.get(&way).await.status,
        404,
        "a draft is its writer's alone"
    );
}

#[tokio::test]
async fn what_was_thrown_away_can_be_put_back() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [("Name", "Regretted"), ("Notes", "long thoughts")];
    let page = browser.submit(&form, "Recalculate", &typed).await;
    let list = browser.submit(&page, "Throw this draft away", &[]).await;
    let list = browser.get(list.location().expect("the list")).await;
    assert!(list.text.contains("For a day it can be put back"));
    assert!(list.text.contains("No drafts."));
    let way: String = sqlx::query_scalar("select '/drafts/' || public_id from recipe_drafts")
        .fetch_one(club.pool())
        .await
        .expect("a draft");
    assert_eq!(browser.get(&way).await.status, 404);
    let stranger = another(&club, "Bert", Units::Metric).await;
    assert!(!stranger.get("/recipes").await.text.contains("Regretted"));

    let back = browser.submit(&list, "Put it back: Regretted", &[]).await;
    assert_eq!(back.location(), Some(way.as_str()));
    let page = browser.get(&way).await;
    assert_eq!(page.value("Notes"), "long thoughts");
    let again = browser.submit(&list, "Put it back: Regretted", &[]).await;
    assert_eq!(again.location(), Some(way.as_str()), "twice is once");
}

#[tokio::test]
async fn typing_on_in_another_tab_takes_a_draft_out_of_the_waste() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let page = browser
        .submit(&form, "Recalculate", &[("Name", "Two tabs")])
        .await;
    browser.submit(&page, "Throw this draft away", &[]).await;
    browser
        .submit(&page, "Recalculate", &[("Name", "Two tabs, one going on")])
        .await;
    let list = browser.get("/recipes").await;
    let drafts = all_words(&list, "section .entries h3 a");
    assert_eq!(drafts, ["Two tabs, one going on"]);
    assert!(!list.text.contains("Thrown away, still here"));
}
