//! Who must not judge what: own, made together, one roof, not tasted, recognised; and nothing else.

use chrono::Utc;
use mustwright::competitions::flights::conflicts::forbidden;
use mustwright::competitions::model::EntryId;
use mustwright::engine::contest::declared::{Character, Declared, Sweetness};

use super::{a_day, declared};
use crate::support::Club;

#[tokio::test]
async fn every_reason_keeps_a_judge_away_and_no_other() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    let dry = declared(11.0, Sweetness::Dry);
    let (jan, kim, lou, nia) = (
        &day.judges[0],
        &day.judges[1],
        &day.judges[2],
        &day.judges[3],
    );
    let own = day.bottle(&club, (jan, 0, 1), &dry).await;
    let together = day.bottle(&club, (&day.mara, 0, 2), &dry).await;
    let free = day.bottle(&club, (&day.stew, 0, 3), &dry).await;
    let nuts = Declared {
        allergens: vec!["nuts".to_owned()],
        ..dry.clone()
    };
    let with_nuts = day.bottle(&club, (&day.stew, 0, 4), &nuts).await;
    let hot = Declared {
        character: Character::Pepper,
        ..dry
    };
    let peppered = day.bottle(&club, (&day.stew, 0, 5), &hot).await;
    sqlx::query(
        "insert into competition_makers (entry_id, member_id, leads, name, entered_at) values ($1, $2, false, 'x', $3)",
    )
    .bind(together)
    .bind(kim.id.0)
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("a maker");
    // Lou lives with Mara; the row names them in the order of their keys.
    let (one, other) = (day.mara.id.0.min(lou.id.0), day.mara.id.0.max(lou.id.0));
    sqlx::query("insert into competition_conflicts values ($1, $2, $3)")
        .bind(day.held.id.0)
        .bind(one)
        .bind(other)
        .execute(club.pool())
        .await
        .expect("a conflict");
    sqlx::query(
        "update competition_roster set abstains = '{nuts,pepper}' where competition_id = $1 and member_id = $2 and duty = 'judge'",
    )
    .bind(day.held.id.0)
    .bind(nia.id.0)
    .execute(club.pool())
    .await
    .expect("the roster");
    let mut conn = club.pool().acquire().await.expect("a connection");
    let found = forbidden(&mut conn, day.held.id).await.expect("pairs");
    let wanted = [
        (jan, own),
        (kim, together),
        (lou, together),
        (nia, with_nuts),
        (nia, peppered),
    ];
    for judge in &day.judges {
        for entry in [own, together, free, with_nuts, peppered] {
            let kept = wanted
                .iter()
                .any(|(one, of)| one.id == judge.id && *of == entry);
            assert_eq!(
                found.has(judge.id, EntryId(entry)),
                kept,
                "{} {entry}",
                judge.name
            );
        }
    }
    // Whoever recognises one is kept away from then on.
    let flight: i64 = sqlx::query_scalar(
        "insert into competition_flights (public_id, competition_id, kind, category_id, number)
         values ('aaaaaaaaaaaaaaaaaaaa', $1, 'first', $2, 1) returning id",
    )
    .bind(day.held.id.0)
    .bind(day.held.categories[0].id.0)
    .fetch_one(club.pool())
    .await
    .expect("a flight");
    sqlx::query(
        "insert into competition_sheets (flight_id, entry_id, judge_id, number, deed, data, by_id, at)
         values ($1, $2, $3, 1, 'recused', '{}', $3, $4)",
    )
    .bind(flight)
    .bind(free)
    .bind(kim.id.0)
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("a sheet");
    let found = forbidden(&mut conn, day.held.id).await.expect("pairs");
    assert!(found.has(kim.id, EntryId(free)));
    assert!(!found.has(jan.id, EntryId(free)));
}

#[tokio::test]
async fn a_conflict_that_is_told_after_tables_are_made_is_shown_to_organisers() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 6).await;
    let words = "must not judge one of its glasses";
    assert!(!day.makes().await.text.contains(words));
    let jan = day.judges[0].id.0;
    let (one, other) = (day.mara.id.0.min(jan), day.mara.id.0.max(jan));
    sqlx::query("insert into competition_conflicts values ($1, $2, $3)")
        .bind(day.held.id.0)
        .bind(one)
        .bind(other)
        .execute(club.pool())
        .await
        .expect("a conflict");
    let list = day.path("/flights");
    assert!(day.organiser.get(&list).await.text.contains(words));
    assert!(!day.steward.get(&list).await.text.contains(words));
}
