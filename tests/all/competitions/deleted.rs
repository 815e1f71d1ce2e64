//! Drafts and rehearsals go for good, asked twice; whatever else there is stays, and so does everything of members.

use mustwright::competitions::model::{Duty, Phase};

use super::building::a_competition;
use super::judged::{a_sheet, agreed, an_agreement, ordered, wrote_sheet};
use super::organise::organiser;
use crate::batches::{a_maker, started};
use crate::support::{Club, a_member};

async fn count(club: &Club) -> i64 {
    sqlx::query_scalar("select count(*) from competitions")
        .fetch_one(club.pool())
        .await
        .expect("a count")
}

#[tokio::test]
async fn a_draft_goes_once_its_organiser_says_so_twice() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let draft = a_competition()
        .in_phase(Phase::Draft)
        .with(&bo, Duty::Judge)
        .of(&club, &person)
        .await;
    let page = orla.get(&draft.path).await;
    let asks = page.link("Delete it").expect("a way");
    let bo = club.browser_of(&bo).await;
    assert_eq!(bo.get(&asks).await.status, 404);
    let key = bo.get("/cupboard/new").await.hidden("once").expect("a key");
    let forged = [("once", key.as_str()), ("sure", "yes")];
    assert_eq!(bo.post(&asks, &forged).await.status, 404);
    let asked = orla.get(&asks).await;
    let not_yet = orla.submit(&asked, "Delete it for good", &[]).await;
    assert_eq!(not_yet.status, 422);
    assert!(not_yet.text.contains("<title>Error: "));
    assert_eq!(count(&club).await, 1);
    let tick = [("It shall go, and cannot be brought back", "yes")];
    let done = orla.submit(&asked, "Delete it for good", &tick).await;
    assert_eq!(done.location(), Some("/competitions"), "{}", done.text);
    assert_eq!(count(&club).await, 0);
    assert_eq!(orla.get(&draft.path).await.status, 404);
    let again = orla.submit(&asked, "Delete it for good", &tick).await;
    assert_eq!(again.location(), Some("/competitions"), "pressed twice");
    // One that members may enter stays.
    let open = a_competition().of(&club, &person).await;
    assert!(orla.get(&open.path).await.link("Delete it").is_none());
    let form = orla.get("/cupboard/new").await;
    let key = form.hidden("once").expect("a key");
    let at = format!("{}/delete", open.path);
    let forged = [("once", key.as_str()), ("sure", "yes")];
    assert_eq!(orla.post(&at, &forged).await.status, 404);
    let removed: bool = sqlx::query_scalar("select remove_competition($1)")
        .bind(open.id.0)
        .fetch_one(club.pool())
        .await
        .expect("an answer");
    assert!(!removed, "the database says so too");
    assert_eq!(count(&club).await, 1);
}

#[tokio::test]
async fn a_rehearsal_goes_with_its_sheets_unless_somebody_entered_a_batch() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let (maker, bo, recipe) = a_maker(&club, "Bo").await;
    let batch = started(&bo, &recipe, &[]).await;
    let held = a_competition()
        .rehearsed()
        .in_phase(Phase::Review)
        .with(&maker, Duty::Judge)
        .of(&club, &person)
        .await;
    let entry = held.entry_of(&club, &person, 0, "AC234").await;
    let flight = held
        .flight(&club, (1, "first", Some(0)), &[&entry], &[&maker])
        .await;
    let last = held
        .flight(&club, (2, "final", Some(0)), &[&entry], &[&maker])
        .await;
    wrote_sheet(&club, flight, &entry, &maker, ("signed", &a_sheet(40, &[]))).await;
    agreed(
        &club,
        flight,
        &maker,
        &an_agreement(&[("AC234", Some(40), 1, true)]),
    )
    .await;
    ordered(&club, last, &maker, &["AC234"]).await;
    let review = orla.get(&format!("{}/review", held.path)).await;
    let frozen = orla
        .submit(&review, "Reckon the results and freeze them", &[])
        .await;
    assert_eq!(frozen.status, 303, "{}", frozen.text);
    // What was written of somebody's batch would be lost.
    sqlx::query("update competition_makers set batch_id = (select max(id) from batches)")
        .execute(club.pool())
        .await
        .expect("a batch");
    let path = format!("{}/delete", held.path);
    let asked = orla.get(&path).await;
    assert!(!asked.has_button("Delete it for good"), "{}", asked.text);
    let page = orla.get("/cupboard/new").await;
    let key = page.hidden("once").expect("a key");
    let forged = [("once", key.as_str()), ("sure", "yes")];
    assert_eq!(orla.post(&path, &forged).await.status, 409);
    sqlx::query("update competition_makers set batch_id = null")
        .execute(club.pool())
        .await
        .expect("a bottle");
    let tick = [("It shall go, and cannot be brought back", "yes")];
    let asked = orla.get(&path).await;
    let done = orla.submit(&asked, "Delete it for good", &tick).await;
    assert_eq!(done.status, 303, "{}", done.text);
    for table in [
        "competitions",
        "competition_sheets",
        "competition_deeds",
        "competition_entries",
    ] {
        let left: i64 =
            sqlx::query_scalar(sqlx::AssertSqlSafe(format!("select count(*) from {table}")))
                .fetch_one(club.pool())
                .await
                .expect("a count");
        assert_eq!(left, 0, "{table}");
    }
    assert_eq!(bo.get(&batch).await.status, 200);
}
