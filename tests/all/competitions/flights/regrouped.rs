//! Categories that merge and split by the rule, and everybody reads what came of it.

use mustwright::competitions::model::Phase;
use mustwright::engine::contest::declared::Sweetness;

use super::{a_day, code, declared};
use crate::support::{Club, a_member};

#[tokio::test]
async fn small_ones_merge_large_ones_split_and_everybody_reads_it() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.held.stands_in(&club, Phase::Open).await;
    let path = day.path("/categories-judged");
    let flo = club
        .browser_of(&a_member().named("Flo").of(&club).await)
        .await;
    // The rule is read before anybody enters.
    let page = flo.get(&path).await;
    assert!(page.text.contains("fewer than 4 entries"), "{}", page.text);
    assert!(!page.has_button("Merge and split by the rule"));
    for number in 1..=18 {
        let sweetness = match number {
            1..=9 => Sweetness::Sweet,
            _ => Sweetness::Dry,
        };
        day.bottle(&club, (&day.mara, 0, number), &declared(12.0, sweetness))
            .await;
    }
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.mara, 1, 19), &dry).await;
    for number in 20..=24 {
        day.bottle(&club, (&day.mara, 2, number), &dry).await;
    }
    assert!(
        !day.organiser
            .get(&path)
            .await
            .has_button("Merge and split by the rule")
    );
    day.held.stands_in(&club, Phase::Closed).await;
    let page = day.organiser.get(&path).await;
    assert!(page.text.contains("goes into"), "{}", page.text);
    assert!(page.text.contains("in parts of"), "{}", page.text);
    let done = day
        .organiser
        .submit(&page, "Merge and split by the rule", &[])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(day.deeds(&club).await, ["regrouped"]);
    let counts: Vec<i64> = sqlx::query_scalar(
        "select count(*) from competition_entries where competition_id = $1 group by category_id order by 1 desc",
    )
    .bind(day.held.id.0)
    .fetch_all(club.pool())
    .await
    .expect("counts");
    let into_first = day.held.categories[0].family.is_some()
        && day.held.categories[0].family == day.held.categories[1].family
        || day.held.categories[1].family != day.held.categories[2].family;
    match into_first {
        true => assert_eq!(counts, [10, 9, 5]),
        false => assert_eq!(counts, [9, 9, 6]),
    }
    // The dry ones stand in the first part.
    let parts: Vec<String> = sqlx::query_scalar(
        "select e.code from competition_entries e join competition_categories k on k.id = e.category_id
         where e.competition_id = $1 and k.name like '%, part 1' order by e.code limit 1",
    )
    .bind(day.held.id.0)
    .fetch_all(club.pool())
    .await
    .expect("codes");
    assert_eq!(parts, [code(10)]);
    for browser in [&flo, &day.steward, &day.organiser] {
        let page = browser.get(&path).await;
        assert!(page.text.contains("is judged with"), "{}", page.text);
        assert!(page.text.contains("is judged in parts"), "{}", page.text);
        assert!(!page.has_button("Merge and split by the rule"));
    }
}

#[tokio::test]
async fn once_flights_are_made_nothing_merges() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 6).await;
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.mara, 1, 7), &dry).await;
    let path = day.path("/categories-judged");
    let page = day.organiser.get(&path).await;
    day.makes().await;
    let late = day
        .organiser
        .submit(&page, "Merge and split by the rule", &[])
        .await;
    assert_eq!(late.status, 409);
    let stew = day.steward.get(&path).await;
    assert!(!stew.has_button("Merge and split by the rule"));
}

#[tokio::test]
async fn parts_of_a_large_one_come_behind_as_many_as_organisers_can_set() {
    use mustwright::competitions::organise::store::put_categories;
    use mustwright::engine::contest::categories::Kind;

    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    let more: Vec<Kind> = (day.held.categories.len()..60)
        .map(|number| Kind {
            name: format!("Further meads {number}"),
            about: String::new(),
            family: None,
            strength: None,
        })
        .collect();
    put_categories(&mut conn, day.held.id, &more)
        .await
        .expect("sixty categories");
    drop(conn);
    for number in 1..=18 {
        let dry = declared(12.0, Sweetness::Dry);
        day.bottle(&club, (&day.mara, 0, number), &dry).await;
    }
    day.held.stands_in(&club, Phase::Closed).await;
    let page = day.organiser.get(&day.path("/categories-judged")).await;
    let done = day
        .organiser
        .submit(&page, "Merge and split by the rule", &[])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let last: i32 = sqlx::query_scalar("select max(place) from competition_categories")
        .fetch_one(club.pool())
        .await
        .expect("a place");
    assert!(last > 60, "{last}");
}
