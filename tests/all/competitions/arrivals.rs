//! What can be poured is one rule: what is demanded before judging counts exactly that.

use mustwright::competitions::entries::Arrival;
use mustwright::competitions::model::Phase;
use mustwright::competitions::organise::store::standing;

use super::building::a_competition;
use super::organise::organiser;
use crate::support::Club;

#[tokio::test]
async fn whatever_can_be_poured_is_looked_at_and_stands_in_a_flight() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let held = a_competition()
        .in_phase(Phase::Received)
        .of(&club, &person)
        .await;
    let entry = held.entry_of(&club, &person, 0, "AC234").await;
    for arrival in Arrival::ALL {
        sqlx::query("update competition_entries set arrival = $2 where id = $1")
            .bind(entry.id)
            .bind(arrival.word())
            .execute(club.pool())
            .await
            .expect("how it came");
        let mut conn = club.pool().acquire().await.expect("a connection");
        let counted = standing(&mut conn, held.id).await.expect("a standing");
        let wanted = i64::from(arrival.can_be_poured());
        assert_eq!(
            (counted.unchecked, counted.unpoured),
            (wanted, wanted),
            "{arrival:?}"
        );
        assert_eq!(counted.unreceived, 0);
    }
    sqlx::query("update competition_entries set arrival = 'leaking' where id = $1")
        .bind(entry.id)
        .execute(club.pool())
        .await
        .expect("how it came");
    // What came late and is taken in while it is judged has to be poured too.
    for (phase, button) in [
        (Phase::Received, "Begin judging"),
        (Phase::Judging, "End judging"),
    ] {
        held.stands_in(&club, phase).await;
        let page = orla.get(&format!("{}/phase", held.path)).await;
        let missing = page.words_of("#missing").unwrap_or_default();
        assert!(
            missing.contains("1 entry stands in no flight."),
            "{}",
            page.text
        );
        assert!(!page.has_button(button));
    }
}
