//! What a member takes along of competitions: their own entries, duties and sheets, and what judges wrote only once it is out.

use chrono::Utc;
use mustwright::competitions::model::{Duty, Phase};
use serde_json::json;

use super::building::a_competition;
use crate::portability::{exported, json_of};
use crate::support::{Club, a_member};

#[tokio::test]
async fn an_export_tells_what_judges_wrote_once_it_is_out_and_never_who() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let held = a_competition()
        .in_phase(Phase::Judging)
        .with(&bo, Duty::Judge)
        .of(&club, &ada)
        .await;
    let entry = held.entry_of(&club, &ada, 0, "AX234").await;
    sqlx::query(
        "with flight as (insert into competition_flights (public_id, competition_id, kind, category_id, number)
             select repeat('f', 20), competition_id, 'first', category_id, 1 from competition_entries where id = $1
             returning id)
         insert into competition_sheets (flight_id, entry_id, judge_id, number, deed, data, by_id, at)
         select flight.id, $1, $2, 1, 'signed', '{\"advice\": \"Let it age\"}', $2, $3 from flight",
    )
    .bind(entry.id)
    .bind(bo.id.0)
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("a sheet");
    let (ada, bo) = (club.browser_of(&ada).await, club.browser_of(&bo).await);
    let own = json_of(&exported(&ada).await, "competition_entries.json");
    assert_eq!(own[0]["code"], "AX234");
    assert_eq!(own[0]["sheets"], json!([]), "before the release");
    let judged = exported(&bo).await;
    assert_eq!(json_of(&judged, "competition_entries.json"), json!([]));
    let duties = json_of(&judged, "competition_duties.json");
    assert_eq!(duties[0]["duty"], "judge");
    let sheets = json_of(&judged, "competition_sheets.json");
    assert_eq!(sheets[0]["sheet"]["advice"], "Let it age");
    assert!(!sheets.to_string().contains("Ada"), "a code alone");
    held.stands_in(&club, Phase::Released).await;
    let own = json_of(&exported(&ada).await, "competition_entries.json");
    assert_eq!(own[0]["sheets"][0]["advice"], "Let it age");
    assert!(!own.to_string().contains("Bo"), "{own}");
}
