//! Pouring: in the order of the list, when the table has rested, by whoever has nothing in it.

use chrono::Utc;
use mustwright::competitions::flights::model::State;
use mustwright::competitions::flights::store::set_state;
use mustwright::competitions::model::Phase;
use mustwright::engine::contest::declared::Sweetness;

use super::{Day, a_day, declared};
use crate::support::Club;

async fn set(club: &Club, day: &Day, at: usize, state: State) {
    let flight = day.flights(club).await.remove(at).0;
    let mut conn = club.pool().acquire().await.expect("a connection");
    set_state(&mut conn, flight.id, state, Utc::now())
        .await
        .expect("the state");
}

#[tokio::test]
async fn a_flight_is_poured_and_taken_back_until_its_table_agreed() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 6).await;
    day.makes().await;
    let flight = day.flights(&club).await.remove(0).0;
    let path = day.flight(&flight, "");
    // Not before judging has begun.
    assert!(!day.steward.get(&path).await.has_button("It is poured"));
    day.held.stands_in(&club, Phase::Judging).await;
    let page = day.steward.get(&path).await;
    let done = day.steward.submit(&page, "It is poured", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let queue = day.steward.get(&day.path("/queue")).await;
    assert!(queue.text.contains("0 of 1 flights are done."));
    assert!(queue.text.contains("Nothing is left to pour."));
    assert_eq!(day.flights(&club).await[0].0.state, State::Poured);
    // A second who pours the same reads that somebody was faster.
    let second = day.steward.submit(&page, "It is poured", &[]).await;
    assert_eq!(second.status, 303, "the same form twice does its work once");
    let page = day.steward.get(&path).await;
    let back = day
        .steward
        .submit(&page, "It is not poured after all", &[])
        .await;
    assert_eq!(back.status, 303, "{}", back.text);
    assert_eq!(day.flights(&club).await[0].0.state, State::Planned);
    assert_eq!(day.flights(&club).await[0].0.poured_at, None);
    set(&club, &day, 0, State::Done).await;
    let page = day.steward.get(&path).await;
    assert!(!page.has_button("It is poured"));
    assert_eq!(
        day.deeds(&club).await,
        ["flights_made", "poured", "not_poured"]
    );
    // An organiser alone does not pour.
    let tried = day.organiser.post(&format!("{path}/poured"), &[]).await;
    assert_ne!(tried.status, 303);
}

#[tokio::test]
async fn a_table_rests_unless_it_agrees_to_begin() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 12).await;
    day.makes().await;
    day.held.stands_in(&club, Phase::Judging).await;
    let flights = day.flights(&club).await;
    assert_eq!(flights.len(), 2, "two judges taste them one after another");
    set(&club, &day, 0, State::Poured).await;
    let path = day.flight(&flights[1].0, "");
    let page = day.steward.get(&path).await;
    assert!(
        page.text.contains("Still at another flight: Jan, Kim."),
        "{}",
        page.text
    );
    set(&club, &day, 0, State::Done).await;
    let page = day.steward.get(&path).await;
    assert!(page.text.contains("The table rests until"), "{}", page.text);
    let queue = day.steward.get(&day.path("/queue")).await;
    assert!(
        queue.text.contains("the table rests until"),
        "{}",
        queue.text
    );
    let refused = day.steward.submit(&page, "It is poured", &[]).await;
    assert_eq!(refused.status, 422);
    assert!(
        refused
            .fault("They agreed to begin now")
            .contains("rests until")
    );
    assert_eq!(day.flights(&club).await[1].0.state, State::Planned);
    let agreed = [("They agreed to begin now", "yes")];
    let done = day.steward.submit(&refused, "It is poured", &agreed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(day.flights(&club).await[1].0.state, State::Poured);
}

#[tokio::test]
async fn a_steward_with_an_entry_leaves_pouring_to_others() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.bottles(&club, 1, 5).await;
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.stew, 0, 6), &dry).await;
    day.makes().await;
    day.held.stands_in(&club, Phase::Judging).await;
    let flight = day.flights(&club).await.remove(0).0;
    let page = day.steward.get(&day.flight(&flight, "")).await;
    assert!(page.text.contains("You have an entry in this category"));
    assert!(!page.has_button("It is poured"));
    // Nor by a form that was open before.
    let once = day.steward.get(&day.path("/calibration")).await;
    let once = once.hidden("once").unwrap_or_default();
    let tried = day
        .steward
        .post(&day.flight(&flight, "/poured"), &[("once", &once)])
        .await;
    assert_ne!(tried.status, 303, "{}", tried.text);
    assert_eq!(day.flights(&club).await[0].0.state, State::Planned);
}
