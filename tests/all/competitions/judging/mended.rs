//! A sheet that was given back once judging is over: its table agrees anew, and the results wait for that.

use mustwright::competitions::model::{Duty, Phase};
use mustwright::competitions::results::gather::gather;
use mustwright::competitions::store as competitions;

use super::{Day, a_day, presses, signs};
use crate::support::Browser;

/// Both sign the only glass, with 15 for taste, and Ada writes down what they agree on.
async fn agreed(day: &Day) -> (Browser, Browser) {
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    for browser in [&ada, &bo] {
        signs(browser, &day.sheet(0), &[]).await;
    }
    let table = ada.get(&day.table).await;
    let done = ada.submit(&table, "We agree", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    (ada, bo)
}

async fn gives_back(day: &Day, orla: &Browser, sheet: &str) {
    let sheets = orla.get(&format!("{}/sheets", day.held.path)).await;
    let sheet = sheets.link(sheet).expect("the sheet");
    let done = presses(
        orla,
        &sheet,
        "Give it back",
        &[("Why", "words are missing")],
    )
    .await;
    assert_eq!(done.status, 303, "{}", done.text);
}

#[tokio::test]
async fn its_table_agrees_anew_and_results_wait_for_it() {
    let day = a_day(1).await;
    let (ada, bo) = agreed(&day).await;
    let orla = day.as_(&day.organiser).await;
    day.held.stands_in(&day.club, Phase::Review).await;
    let review = format!("{}/review", day.held.path);
    let reckon = "Reckon the results and freeze them";
    let reckoned = orla.submit(&orla.get(&review).await, reckon, &[]).await;
    assert_eq!(reckoned.status, 303, "{}", reckoned.text);
    // Nothing was given back: nobody agrees on anything any more.
    let table = ada.get(&day.table).await;
    assert!(
        !table.has_button("Change what we agreed on"),
        "{}",
        table.text
    );
    gives_back(&day, &orla, "Ada, KM472").await;
    let phase = format!("{}/phase", day.held.path);
    let open = "The table of flight 1 has not agreed, or has to agree anew.";
    let shown = orla.get(&phase).await;
    let missing = shown.words_of("#missing").unwrap_or_default();
    assert!(missing.contains(open), "{}", shown.text);
    assert!(!shown.has_button("Let the results out"));
    let held_up = orla.submit(&orla.get(&review).await, reckon, &[]).await;
    assert_eq!(held_up.status, 422, "{}", held_up.text);
    // The same points once more are agreed on once more.
    signs(&ada, &day.sheet(0), &[("In words, Taste", "quince")]).await;
    assert!(
        !bo.get(&day.table)
            .await
            .has_button("Change what we agreed on")
    );
    let table = ada.get(&day.table).await;
    let done = ada.submit(&table, "Change what we agreed on", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let twice = ada.submit(&table, "Change what we agreed on", &[]).await;
    assert_eq!(twice.status, 303, "pressed twice: {}", twice.text);
    let again = ada
        .submit(
            &table,
            "Change what we agreed on",
            &[("Points, KM472", "37")],
        )
        .await;
    assert_eq!(again.status, 409, "it is agreed, and judging is over");
    let reckoned = orla.submit(&orla.get(&review).await, reckon, &[]).await;
    assert_eq!(reckoned.status, 303, "{}", reckoned.text);
    let shown = orla.get(&phase).await;
    let out = orla.submit(&shown, "Let the results out", &[]).await;
    assert_eq!(out.status, 303, "{}", out.text);
    assert!(day.chain_holds().await);
}

#[tokio::test]
async fn nothing_is_given_back_that_nobody_could_mend() {
    let day = a_day(1).await;
    agreed(&day).await;
    sqlx::query("delete from competition_roster where member_id = $1")
        .bind(day.bo.id.0)
        .execute(day.club.pool())
        .await
        .expect("the roster");
    day.held.stands_in(&day.club, Phase::Review).await;
    let orla = day.as_(&day.organiser).await;
    let sheets = orla.get(&format!("{}/sheets", day.held.path)).await;
    let sheet = sheets.link("Bo, KM472").expect("his sheet");
    let refused = presses(&orla, &sheet, "Give it back", &[("Why", "words")]).await;
    assert_eq!(refused.status, 409, "{}", refused.text);
    assert_eq!(
        day.count("select count(*) from competition_sheets where deed = 'reopened'")
            .await,
        0
    );
}

#[tokio::test]
async fn who_was_kept_apart_since_mends_without_a_word_that_tells() {
    let day = a_day(1).await;
    let (ada, _) = agreed(&day).await;
    let form = ada.get(&format!("{}/my-limits", day.held.path)).await;
    let said = ada.submit(&form, "Save", &[("Mona", "yes")]).await;
    assert_eq!(said.status, 303, "{}", said.text);
    let orla = day.as_(&day.organiser).await;
    gives_back(&day, &orla, "Ada, KM472").await;
    // The glass is Mona’s: a refusal would say so.
    signs(&ada, &day.sheet(0), &[("Points, 0 to 20, Taste", "17")]).await;
}

#[tokio::test]
async fn what_somebody_wrote_who_left_the_table_counts_no_more() {
    let day = a_day(1).await;
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    signs(&ada, &day.sheet(0), &[("Points, 0 to 20, Taste", "2")]).await;
    signs(&bo, &day.sheet(0), &[]).await;
    let orla = day.as_(&day.organiser).await;
    let roster = orla.get(&format!("{}/roster", day.held.path)).await;
    let asks = roster
        .link("Take the duty away Ada")
        .expect("where it is asked");
    let asked = orla.get(&asks).await;
    assert!(asked.text.contains("Flight 1, "), "{}", asked.text);
    let done = orla.submit(&asked, "Take duty and seats away", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(ada.get(&day.table).await.status, 404);
    // Bo leads now, and lies 13 points from nobody.
    let table = bo.get(&day.table).await;
    let agreed = bo.submit(&table, "We agree", &[]).await;
    assert_eq!(agreed.status, 303, "{}", agreed.text);
    let mut conn = day.club.pool().acquire().await.expect("a connection");
    let duties = competitions::duties(&mut conn, day.ada.id, day.held.id).await;
    assert_eq!(duties.expect("duties"), [] as [Duty; 0]);
    let found = competitions::find(&mut conn, day.organiser.id, &day.held.public_id).await;
    let competition = found.expect("the database").expect("it");
    let gathered = gather(&mut conn, &competition).await.expect("everything");
    let marks = &gathered.inputs.flights[0].marks;
    assert_eq!(marks.len(), 1, "{marks:?}");
    assert_eq!(marks[0].total, 38);
    assert!(day.chain_holds().await);
}
