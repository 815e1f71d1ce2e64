//! What judges said beside a batch's own log, and the one change that follows.

use mustwright::competitions::model::{Duty, Phase};
use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Pitch, Reading};

use super::building::a_competition;
use super::judged::{a_sheet, agreed, an_agreement, wrote_sheet};
use crate::batches::{a_maker, started, wrote};
use crate::support::{Club, a_member};

#[tokio::test]
async fn what_a_recipe_can_do_about_it_goes_into_a_draft() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    let june = a_member().named("June").of(&club).await;
    let held = a_competition()
        .in_phase(Phase::Released)
        .with(&june, Duty::Judge)
        .of(&club, &june)
        .await;
    let entry = held.entry_of(&club, &ada, 0, "AC234").await;
    sqlx::query(
        "update competition_makers set batch_id = (select id from batches where public_id = $2) where entry_id = $1",
    )
    .bind(entry.id)
    .bind(batch.rsplit('/').next())
    .execute(club.pool())
    .await
    .expect("its batch");
    let flight = held
        .flight(&club, (1, "first", Some(0)), &[&entry], &[&june])
        .await;
    let sheet = a_sheet(31, &["flabby"]);
    wrote_sheet(&club, flight, &entry, &june, ("signed", &sheet)).await;
    let page = browser.get(&format!("{batch}/judged")).await;
    let change = page.words_of("#change").expect("one change");
    assert!(change.contains("more acid"), "{change}");
    let kept = browser.submit(&page, "Put it into a draft", &[]).await;
    assert_eq!(kept.status, 303, "{}", kept.text);
    let draft = browser.get(kept.location().expect("a draft")).await;
    assert!(
        draft.text.contains("1 of 1 sheets: flabby"),
        "{}",
        draft.text
    );
}

#[tokio::test]
async fn two_judges_found_it_hot_and_the_log_knows_of_a_warm_day() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    wrote(&club, &ada, &batch, 1.0, Deed::Pitch(Pitch::default())).await;
    let warm = Reading {
        must_temperature_c: Some(27.0),
        ..Reading::default()
    };
    wrote(&club, &ada, &batch, 30.0, Deed::Reading(warm)).await;
    let orla = a_member().named("Orla").of(&club).await;
    let june = a_member().named("June").of(&club).await;
    let jack = a_member().named("Jack").of(&club).await;
    let held = a_competition()
        .in_phase(Phase::Review)
        .with(&june, Duty::Judge)
        .with(&jack, Duty::Judge)
        .of(&club, &orla)
        .await;
    let entry = held.entry_of(&club, &ada, 0, "AC234").await;
    sqlx::query(
        "update competition_makers set batch_id = (select id from batches where public_id = $2) where entry_id = $1",
    )
    .bind(entry.id)
    .bind(batch.rsplit('/').next())
    .execute(club.pool())
    .await
    .expect("its batch");
    let flight = held
        .flight(&club, (1, "first", Some(0)), &[&entry], &[&june, &jack])
        .await;
    for judge in [&june, &jack] {
        let sheet = a_sheet(31, &["hot"]);
        wrote_sheet(&club, flight, &entry, judge, ("signed", &sheet)).await;
    }
    agreed(
        &club,
        flight,
        &june,
        &an_agreement(&[("AC234", Some(31), 1, true)]),
    )
    .await;

    // Before the release there is nothing, for its maker neither.
    let notes = format!("{batch}/judged");
    assert_eq!(browser.get(&notes).await.status, 404);
    assert!(
        browser
            .get(&batch)
            .await
            .link("What judges said of it, and what its log says about that")
            .is_none()
    );
    let organiser = club.browser_of(&orla).await;
    let review = organiser.get(&format!("{}/review", held.path)).await;
    let frozen = organiser
        .submit(&review, "Reckon the results and freeze them", &[])
        .await;
    assert_eq!(frozen.status, 303, "{}", frozen.text);
    held.stands_in(&club, Phase::Released).await;

    let sheet = browser.get(&batch).await;
    assert_eq!(
        sheet.link("What judges said of it, and what its log says about that"),
        Some(notes.clone())
    );
    let page = browser.get(&notes).await;
    let faults = page.words_of("#faults").expect("faults");
    assert!(faults.contains("hot, on 2 sheets"), "{faults}");
    assert!(faults.contains("27 °C on day 2"), "{faults}");
    let change = page.words_of("#change").expect("one change");
    assert!(change.contains("2 of 2 sheets: hot"), "{change}");
    // The recipe says no temperature: what is proposed stands at the vessel, or is a cooler recipe.
    assert!(change.to_lowercase().contains("cooler"), "{change}");
    let other = a_member().named("Bo").of(&club).await;
    let other = club.browser_of(&other).await;
    assert_eq!(other.get(&notes).await.status, 404);
}
