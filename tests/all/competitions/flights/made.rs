//! Flights as they are made: sizes, order, tables; and who sees them.

use mustwright::competitions::flights::conflicts::forbidden;
use mustwright::competitions::model::Phase;
use mustwright::engine::contest::declared::Sweetness;

use super::{CANARY, a_day, code, declared};
use crate::support::{Club, a_member};

#[tokio::test]
async fn sizes_order_and_tables_keep_the_rules() {
    let club = Club::open().await;
    let day = a_day(&club, 6).await;
    // Nine, of which two belong to judges.
    for number in 1..=7 {
        let sweetness = [Sweetness::Sweet, Sweetness::Dry][number % 2];
        let abv = 8.0 + number as f64;
        day.bottle(&club, (&day.mara, 0, number), &declared(abv, sweetness))
            .await;
    }
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.judges[0], 0, 8), &dry).await;
    day.bottle(&club, (&day.judges[3], 0, 9), &dry).await;
    // Withdrawn, and missing: not poured.
    for (number, what) in [
        (10, "withdrawn_at = now()"),
        (11, "arrival = 'missing'"),
        (12, "arrival = 'late'"),
    ] {
        let id = day.bottle(&club, (&day.mara, 0, number), &dry).await;
        sqlx::query(sqlx::AssertSqlSafe(format!(
            "update competition_entries set {what} where id = $1"
        )))
        .bind(id)
        .execute(club.pool())
        .await
        .expect("the entry");
    }
    let page = day.makes().await;
    assert!(!page.text.contains(CANARY), "{}", page.text);
    let flights = day.flights(&club).await;
    let sizes: Vec<usize> = flights
        .iter()
        .map(|(_, glasses, _)| glasses.len())
        .collect();
    assert_eq!(sizes, [5, 4]);
    let mut conn = club.pool().acquire().await.expect("a connection");
    let kept_apart = forbidden(&mut conn, day.held.id).await.expect("pairs");
    for (flight, glasses, table) in &flights {
        let steps: Vec<_> = glasses
            .iter()
            .map(|glass| (glass.declared.sweetness, glass.declared.is_strong()))
            .collect();
        assert!(steps.is_sorted(), "{steps:?}");
        assert_eq!(table.len(), 2);
        assert!(table[0].leads && table[0].experienced, "{table:?}");
        for seat in table {
            for glass in glasses {
                assert!(!kept_apart.has(seat.judge, glass.entry), "{flight:?}");
                assert!(page.text.contains(&glass.code));
            }
        }
    }
    // Jan and Kim lead one each; what each tastes is told.
    assert!(page.text.contains("of at most 24 a day"), "{}", page.text);
    assert!(!page.text.contains(&code(10)) && !page.text.contains(&code(12)));
    assert_eq!(day.deeds(&club).await, ["flights_made"]);
    // Made anew they stand the same: nothing but codes, what is declared and who may judge decides.
    let list = day.organiser.get(&day.path("/flights")).await;
    let again = day.organiser.submit(&list, "Make them anew", &[]).await;
    assert_eq!(again.status, 303, "{}", again.text);
    let codes =
        |all: &[(_, Vec<mustwright::competitions::flights::model::Glass>, _)]| -> Vec<Vec<String>> {
            let of = |glasses: &Vec<mustwright::competitions::flights::model::Glass>| {
                glasses.iter().map(|glass| glass.code.clone()).collect()
            };
            all.iter().map(|(_, glasses, _)| of(glasses)).collect()
        };
    let anew = day.flights(&club).await;
    assert_eq!(codes(&anew), codes(&flights));
    let names =
        |all: &[(_, _, Vec<mustwright::competitions::flights::model::Seat>)]| -> Vec<Vec<String>> {
            let of = |table: &Vec<mustwright::competitions::flights::model::Seat>| {
                table.iter().map(|seat| seat.name.clone()).collect()
            };
            all.iter().map(|(_, _, table)| of(table)).collect()
        };
    assert_eq!(names(&anew), names(&flights));
}

#[tokio::test]
async fn a_flight_that_nobody_may_judge_says_so_and_is_seated_by_hand() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 3).await;
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.judges[1], 0, 4), &dry).await;
    let page = day.makes().await;
    assert!(
        page.text.contains("Nobody sits at this table yet."),
        "{}",
        page.text
    );
    let flights = day.flights(&club).await;
    assert_eq!(flights.len(), 1);
    assert!(flights[0].2.is_empty());
}

#[tokio::test]
async fn what_is_asked_is_held_against_ranges_beside_its_field() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    let page = day.organiser.get(&day.path("/flights")).await;
    let typed = [("Judges at a table", "0"), ("Days of judging", "soon")];
    let refused = day
        .organiser
        .submit(&page, "Make the flights", &typed)
        .await;
    assert_eq!(refused.status, 422);
    assert!(refused.text.contains("<title>Error: "), "{}", refused.text);
    assert_ne!(refused.fault("Judges at a table"), "");
    assert_ne!(refused.fault("Days of judging"), "");
    assert_eq!(refused.value("Days of judging"), "soon");
    let empty = [("Judges at a table", ""), ("Days of judging", "")];
    let refused = day
        .organiser
        .submit(&page, "Make the flights", &empty)
        .await;
    assert_eq!(
        refused.fault("Judges at a table"),
        "Write how many judges sit at a table."
    );
}

#[tokio::test]
async fn only_those_who_organise_or_pour_find_them() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 6).await;
    day.makes().await;
    let flight = day.flights(&club).await.remove(0).0;
    let own = day.flight(&flight, "");
    let change = day.flight(&flight, "/change");
    let pages = [
        day.path("/flights"),
        day.path("/queue"),
        day.path("/paper"),
        own.clone(),
        change.clone(),
    ];
    let judge = club.browser_of(&day.judges[0]).await;
    let flo = club
        .browser_of(&a_member().named("Flo").of(&club).await)
        .await;
    let mara = club.browser_of(&day.mara).await;
    for (who, browser) in [
        ("a judge", &judge),
        ("a member", &flo),
        ("an entrant", &mara),
    ] {
        for path in &pages {
            assert_eq!(browser.get(path).await.status, 404, "{who} {path}");
        }
    }
    for path in &pages[..4] {
        let page = day.steward.get(path).await;
        assert_eq!(page.status, 200, "{path}");
        assert!(!page.text.contains(CANARY), "{path}");
    }
    assert_eq!(day.steward.get(&change).await.status, 404);
    assert_eq!(day.organiser.get(&change).await.status, 200);
    // Another competition's address opens nothing of this one.
    let made = day.steward.post(&day.path("/flights"), &[]).await;
    assert_ne!(made.status, 303);
    // Before the bottles are here and after judging none of them is there.
    for phase in [Phase::Closed, Phase::Review] {
        day.held.stands_in(&club, phase).await;
        for path in [day.path("/queue"), day.path("/paper")] {
            assert_eq!(day.steward.get(&path).await.status, 404, "{phase:?}");
        }
        let list = day.steward.get(&day.path("/flights")).await;
        let wanted = if phase == Phase::Closed { 404 } else { 200 };
        assert_eq!(list.status, wanted, "{phase:?}");
        assert!(list.link("Everything on paper").is_none(), "{phase:?}");
    }
}
