//! A whole competition by its pages: 120 entries, 12 judges, 3 stewards, from the draft to the archive.

mod day;
mod field;
mod judged;

use mustwright::competitions::results::gather::gather;
use mustwright::competitions::store;
use mustwright::engine::contest::account::{account, hash};
use mustwright::engine::contest::results::Answer;
use sqlx::types::Json;

use self::day::Day;
use self::field::Field;

#[tokio::test]
async fn a_competition_of_a_hundred_and_twenty_entries_ends_with_places_that_anybody_can_reckon_again()
 {
    let field = Field::enter().await;
    let day = Day::of(&field).await;
    day.go_on(&field).await;
    day.receive(&field).await;
    day.regroup(&field).await;
    day.go_on(&field).await;
    day.make_flights(&field).await;
    day.rules_are_kept(&field).await;
    day.go_on(&field).await;

    day.judge_all(&field, "first").await;
    day.make_lasts(&field, "Make the final").await;
    day.judge_all(&field, "final").await;
    day.make_lasts(&field, "Make the best of the show").await;
    day.judge_all(&field, "best").await;
    day.rules_are_kept(&field).await;
    day.go_on(&field).await;

    day.reckon(&field).await;
    day.go_on(&field).await;
    let answer = answer_of(&field).await;
    field.best_won(&answer).await;
    day.results_are_read(&field, &answer).await;
    day.go_on(&field).await;
    day.nothing_moves_any_more(&field).await;
}

/// The answer that was frozen, after it was reckoned again from what stands in the rows.
async fn answer_of(field: &Field) -> Answer {
    let (Json(frozen), kept): (Json<Answer>, Vec<u8>) = sqlx::query_as(
        "select answer, hash from competition_results where competition_id = $1 order by number desc limit 1",
    )
    .bind(field.id)
    .fetch_one(field.club.pool())
    .await
    .expect("results");
    let mut conn = field.club.pool().acquire().await.expect("a connection");
    let competition = store::find(&mut conn, field.organiser.id, &field.public_id).await;
    let competition = competition.expect("the database").expect("a competition");
    let gathered = gather(&mut conn, &competition).await.expect("rows");
    let (answer, text) = account(&gathered.inputs);
    assert_eq!(answer, frozen, "what is frozen is what the rows give");
    let digits: String = kept.iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(hash(&text), digits);
    answer
}
