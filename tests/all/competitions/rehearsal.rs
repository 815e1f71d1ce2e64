//! A rehearsal with six waters: begun by one form, open at once, hiding nothing.

use mustwright::competitions::flights::conflicts::store::walled_off;

use super::building::a_competition;
use super::organise::organiser;
use crate::support::{Club, a_member};

#[tokio::test]
async fn only_a_rehearsal_lets_somebody_organise_their_own_entries() {
    let club = Club::open().await;
    let (person, _) = organiser(&club).await;
    for (competition, wanted) in [(a_competition(), 1), (a_competition().rehearsed(), 0)] {
        let held = competition.of(&club, &person).await;
        held.entry_of(&club, &person, 0, "AB123").await;
        let mut conn = club.pool().acquire().await.expect("a connection");
        let walls = walled_off(&mut conn, held.id, person.id)
            .await
            .expect("walls");
        assert_eq!(walls.len(), wanted);
    }
}

#[tokio::test]
async fn a_rehearsal_is_open_with_six_waters_and_everybody_at_work() {
    let club = Club::open().await;
    let (_, orla) = organiser(&club).await;
    for name in ["Bo", "Cy"] {
        a_member().named(name).of(&club).await;
    }
    let form = orla.get("/competitions/rehearsal").await;
    assert!(form.text.contains("20 g of sugar"), "{}", form.text);
    let nobody = orla.submit(&form, "Begin the rehearsal", &[]).await;
    assert_eq!(nobody.status, 422, "{}", nobody.text);
    let with = [("Bo", "yes"), ("Cy", "yes")];
    let done = orla.submit(&form, "Begin the rehearsal", &with).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let path = done.location().expect("a page").to_owned();
    let page = orla.get(&path).await;
    let lead = page.words_of(".lead").expect("a lead");
    assert!(lead.starts_with("A rehearsal, open for entries"), "{lead}");
    let rows: Vec<(String, i64)> = sqlx::query_as(
        "select 'entries', count(distinct e.code) from competition_entries e
             join competition_makers k on k.entry_id = e.id and k.leads join members m on m.id = k.member_id and m.name = 'Orla'
         union all select duty, count(*) from competition_roster group by duty order by 1",
    )
    .fetch_all(club.pool())
    .await
    .expect("counts");
    let rows: Vec<(&str, i64)> = rows.iter().map(|(what, n)| (what.as_str(), *n)).collect();
    assert_eq!(
        rows,
        [
            ("entries", 6),
            ("judge", 2),
            ("organiser", 1),
            ("steward", 2)
        ]
    );
    let deeds = orla.get(&format!("{path}/deeds")).await;
    assert!(deeds.words_of("#sound").is_some(), "{}", deeds.text);
    // It closes as any other does.
    let page = orla.get(&format!("{path}/phase")).await;
    let closed = orla.submit(&page, "Close it for entries", &[]).await;
    assert_eq!(closed.status, 303, "{}", closed.text);
}
