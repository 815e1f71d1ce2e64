//! Finals and the best of the show: made of what tables sent on, once they all agreed.

use chrono::Utc;
use mustwright::competitions::flights::conflicts::forbidden;
use mustwright::competitions::flights::model::{Kind, State};
use mustwright::competitions::flights::store::set_state;
use mustwright::competitions::model::{FlightId, Phase};
use mustwright::engine::contest::declared::Sweetness;
use mustwright::engine::contest::sheet::{Agreed, AgreedEntry};
use sqlx::types::Json;

use super::{Day, a_day, declared};
use crate::support::Club;

/// The table of a flight agrees: places in the order of the codes, the first two go on.
async fn agrees(club: &Club, day: &Day, flight: FlightId) {
    let mut conn = club.pool().acquire().await.expect("a connection");
    let all = day.flights(club).await;
    let found = all.iter().find(|(one, ..)| one.id == flight);
    let mut codes: Vec<String> = found
        .expect("the flight")
        .1
        .iter()
        .map(|glass| glass.code.clone())
        .collect();
    codes.sort();
    let entries = codes.into_iter().zip(1..).map(|(code, place)| AgreedEntry {
        code,
        points: Some(45 - place),
        place: Some(place),
        goes_on: place <= 2,
        spread: Some(1),
        tasted_again: false,
    });
    let agreed = Agreed {
        entries: entries.collect(),
        orders: Vec::new(),
    };
    sqlx::query(
        "insert into competition_agreed (flight_id, number, data, by_id, at) values ($1, 1, $2, $3, $4)",
    )
    .bind(flight.0)
    .bind(Json(&agreed))
    .bind(day.judges[0].id.0)
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("agreed");
    set_state(&mut conn, flight, State::Done, Utc::now())
        .await
        .expect("the state");
}

#[tokio::test]
async fn what_tables_send_on_is_poured_side_by_side() {
    let club = Club::open().await;
    let day = a_day(&club, 6).await;
    day.bottles(&club, 1, 12).await;
    let dry = declared(12.0, Sweetness::Dry);
    for number in 13..=16 {
        day.bottle(&club, (&day.mara, 1, number), &dry).await;
    }
    // Of the sixth judge, and it wins its flight: they cannot sit at the final.
    sqlx::query("update competition_makers set member_id = $1 where entry_id = (select id from competition_entries where code = 'AB001')")
        .bind(day.judges[5].id.0)
        .execute(club.pool())
        .await
        .expect("a maker");
    day.makes().await;
    day.held.stands_in(&club, Phase::Judging).await;
    let flights = day.flights(&club).await;
    assert_eq!(flights.len(), 3);
    let of_first: Vec<FlightId> = flights
        .iter()
        .filter(|(flight, ..)| flight.category == Some(day.held.categories[0].id))
        .map(|(flight, ..)| flight.id)
        .collect();
    let list = day.path("/flights");
    assert!(!day.organiser.get(&list).await.has_button("Make the final"));
    agrees(&club, &day, of_first[0]).await;
    let page = day.organiser.get(&list).await;
    assert!(
        page.text.contains("1 of its 2 flights are done"),
        "{}",
        page.text
    );
    assert!(!page.has_button("Make the final"));
    agrees(&club, &day, of_first[1]).await;
    let page = day.organiser.get(&list).await;
    let done = day.organiser.submit(&page, "Make the final", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let all = day.flights(&club).await;
    let last = all
        .iter()
        .find(|(flight, ..)| flight.kind == Kind::Final)
        .expect("a final");
    assert_eq!(last.1.len(), 4, "two of each flight");
    assert!(last.1.iter().any(|glass| glass.code == "AB001"));
    assert_eq!(last.2.len(), 3);
    assert!(last.2[0].experienced);
    let mut conn = club.pool().acquire().await.expect("a connection");
    let kept_apart = forbidden(&mut conn, day.held.id).await.expect("pairs");
    for seat in &last.2 {
        assert_ne!(seat.name, "Quin");
        for glass in &last.1 {
            assert!(!kept_apart.has(seat.judge, glass.entry));
        }
    }
    // It is poured behind everything else, and made once.
    let latest = flights.iter().map(|(one, ..)| (one.day, one.session)).max();
    assert!(Some((last.0.day, last.0.session)) > latest);
    let again = day.organiser.get(&list).await;
    assert!(!again.has_button("Make the final"));
    // The show: what won each category.
    assert!(!again.has_button("Make the best of the show"));
    agrees(&club, &day, last.0.id).await;
    let other = flights
        .iter()
        .find(|(flight, ..)| flight.category == Some(day.held.categories[1].id))
        .expect("the other category");
    agrees(&club, &day, other.0.id).await;
    let page = day.organiser.get(&list).await;
    let done = day
        .organiser
        .submit(&page, "Make the best of the show", &[])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let all = day.flights(&club).await;
    let best = all
        .iter()
        .find(|(flight, ..)| flight.kind == Kind::Best)
        .expect("the show");
    let mut codes: Vec<&str> = best.1.iter().map(|glass| glass.code.as_str()).collect();
    codes.sort_unstable();
    assert_eq!(codes, ["AB001", "AB013"]);
    assert_eq!(
        day.deeds(&club).await,
        ["flights_made", "final_made", "final_made"]
    );
}
