//! Changing a flight by hand: what the rules refuse is refused beside its field, and no change is lost or overwritten unseen.

use mustwright::engine::contest::declared::Sweetness;

use super::{a_day, choice, code, declared};
use crate::support::Club;

const LEADS: &str = "Leads the table";

#[tokio::test]
async fn seats_that_the_rules_refuse_stay_refused() {
    let club = Club::open().await;
    let day = a_day(&club, 5).await;
    day.bottles(&club, 1, 11).await;
    let dry = declared(12.0, Sweetness::Dry);
    // Lou's own.
    day.bottle(&club, (&day.judges[2], 0, 12), &dry).await;
    day.makes().await;
    let flights = day.flights(&club).await;
    let (flight, _, table) = flights
        .iter()
        .find(|(_, glasses, _)| glasses.iter().any(|glass| glass.code == code(12)))
        .expect("a flight with it");
    let form = day.organiser.get(&day.flight(flight, "/change")).await;
    let of = |name: &str| choice(&form, name);
    let leader = &table[0].name;
    let leads = of(&format!("{leader}, experienced"));
    // Who sits there beside the leader; the others may sit at another table in that round.
    let beside = &table[1].name;
    assert!(!["Jan", "Kim"].contains(&beside.as_str()), "{beside} leads");
    let (lou, beside) = (of("Lou<"), of(&format!("{beside}<")));
    // Lou's own entry stands there; why is not said.
    let typed = [(LEADS, leads.as_str()), ("Judge 2", lou.as_str())];
    let refused = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.fault("Judge 2"), "Lou cannot sit at this table.");
    assert!(refused.text.contains("<title>Error: "));
    assert!(!refused.text.contains("own entry"));
    // Nobody experienced, the same judge twice, nobody at all.
    let typed = [(LEADS, beside.as_str()), ("Judge 2", "")];
    let refused = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_eq!(
        refused.fault(LEADS),
        "Somebody experienced must sit at the table."
    );
    let typed = [(LEADS, leads.as_str()), ("Judge 2", leads.as_str())];
    let refused = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_eq!(
        refused.fault("Judge 2"),
        format!("{leader} sits there already.")
    );
    let typed = [(LEADS, ""), ("Judge 2", "")];
    let refused = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_eq!(refused.fault(LEADS), "Choose at least one judge.");
    let typed = [("Day", "0"), ("Round of the day", "")];
    let refused = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_ne!(refused.fault("Day"), "");
    assert_eq!(
        refused.fault("Round of the day"),
        "Write the round of the day, 1 for the first."
    );
    let before: Vec<_> = table.iter().map(|seat| seat.judge).collect();
    let now = day.flights(&club).await;
    let after = &now
        .iter()
        .find(|(one, ..)| one.id == flight.id)
        .expect("it")
        .2;
    assert_eq!(
        after.iter().map(|seat| seat.judge).collect::<Vec<_>>(),
        before
    );
}

#[tokio::test]
async fn nobody_sits_at_two_tables_or_tastes_more_than_their_glasses() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    day.bottles(&club, 1, 12).await;
    day.makes().await;
    let flights = day.flights(&club).await;
    assert_eq!(flights.len(), 2);
    let (first, second) = (&flights[0], &flights[1]);
    // Both in one round: whoever sits at one cannot sit at the other.
    let (day_of, round) = (first.0.day.to_string(), first.0.session.to_string());
    let busy = &first.2[0];
    let form = day.organiser.get(&day.flight(&second.0, "/change")).await;
    let name = format!("{}, experienced", busy.name);
    let seated = choice(&form, &name);
    let typed = [
        (LEADS, seated.as_str()),
        ("Judge 2", ""),
        ("Day", day_of.as_str()),
        ("Round of the day", round.as_str()),
    ];
    let refused = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_eq!(
        refused.fault(LEADS),
        format!("{} sits at another table in that round.", busy.name)
    );
    // In a later round they can, unless it is more than they taste in a day.
    sqlx::query("update competition_roster set ceiling = 7 where member_id = $1")
        .bind(busy.judge.0)
        .execute(club.pool())
        .await
        .expect("the roster");
    let later = [
        (LEADS, seated.as_str()),
        ("Judge 2", ""),
        ("Round of the day", "5"),
    ];
    let refused = day.organiser.submit(&form, "Keep the table", &later).await;
    assert_eq!(
        refused.fault(LEADS),
        format!(
            "{} would taste 12 glasses on that day, and tastes at most 7.",
            busy.name
        )
    );
    let tomorrow = [
        (LEADS, seated.as_str()),
        ("Judge 2", ""),
        ("Day", "2"),
        ("Round of the day", "1"),
    ];
    let done = day
        .organiser
        .submit(&form, "Keep the table", &tomorrow)
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let now = day.flights(&club).await;
    let moved = now
        .iter()
        .find(|(one, ..)| one.id == second.0.id)
        .expect("it");
    assert_eq!((moved.0.day, moved.0.session), (2, 1));
    assert_eq!(moved.2.len(), 1);
    assert!(moved.2[0].leads);
    assert_eq!(day.deeds(&club).await, ["flights_made", "table_changed"]);
}

#[tokio::test]
async fn of_two_who_change_the_same_table_the_later_reads_both() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    day.bottles(&club, 1, 6).await;
    day.makes().await;
    let flight = day.flights(&club).await.remove(0).0;
    let form = day.organiser.get(&day.flight(&flight, "/change")).await;
    let second = day.organiser.get(&day.flight(&flight, "/change")).await;
    let (jan, kim) = (
        choice(&form, "Jan, experienced"),
        choice(&form, "Kim, experienced"),
    );
    let typed = [(LEADS, jan.as_str()), ("Judge 2", "")];
    let done = day.organiser.submit(&form, "Keep the table", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let typed = [(LEADS, kim.as_str()), ("Judge 2", "")];
    let lost = day
        .organiser
        .submit(&second, "Keep the table", &typed)
        .await;
    assert_eq!(lost.status, 409);
    assert!(lost.text.contains("at the table Jan"), "{}", lost.text);
    assert_eq!(lost.value(LEADS), kim);
    let again = day.organiser.submit(&lost, "Keep the table", &[]).await;
    assert_eq!(again.status, 303, "{}", again.text);
    let now = day.flights(&club).await.remove(0);
    assert_eq!(now.2[0].name, "Kim");
}

#[tokio::test]
async fn glasses_move_within_the_sizes_and_away_from_whose_they_are() {
    let club = Club::open().await;
    let day = a_day(&club, 5).await;
    day.bottles(&club, 1, 13).await;
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.judges[2], 0, 14), &dry).await;
    day.makes().await;
    let all = day.flights(&club).await;
    let (from, glasses, _) = all
        .iter()
        .find(|(_, glasses, _)| glasses.iter().any(|glass| glass.code == code(14)))
        .expect("Lou's");
    let (to, others, _) = all
        .iter()
        .find(|(flight, ..)| flight.id != from.id)
        .expect("another");
    // Lou sits at the other table.
    sqlx::query("update competition_tables set member_id = $2 where flight_id = $1 and not leads")
        .bind(to.id.0)
        .bind(day.judges[2].id.0)
        .execute(club.pool())
        .await
        .expect("a seat");
    let form = day.organiser.get(&day.flight(from, "/change")).await;
    let number = to.number.to_string();
    let goes = |code: &str| format!("Goes to, {code}");
    let own = goes(&code(14));
    let refused = day
        .organiser
        .submit(
            &form,
            "Keep the glasses",
            &[(own.as_str(), number.as_str())],
        )
        .await;
    assert_eq!(refused.status, 422);
    assert!(
        refused.text.contains("Lou cannot sit there then."),
        "{}",
        refused.text
    );
    // One more is eight, two more are too many.
    let free: Vec<String> = glasses
        .iter()
        .filter(|glass| glass.code != code(14))
        .map(|glass| goes(&glass.code))
        .collect();
    let two = [
        (free[0].as_str(), number.as_str()),
        (free[1].as_str(), number.as_str()),
    ];
    let refused = day.organiser.submit(&form, "Keep the glasses", &two).await;
    assert_eq!(refused.status, 422);
    assert!(refused.text.contains("9 glasses: 8 are the most"));
    let last = format!("Poured as number, {}", code(14));
    let one = [
        (free[0].as_str(), number.as_str()),
        (last.as_str(), "30"),
        (free[1].as_str(), "out"),
    ];
    let done = day.organiser.submit(&form, "Keep the glasses", &one).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let now = day.flights(&club).await;
    let of = |id| {
        let found = now.iter().find(|(flight, ..)| flight.id == id);
        found.expect("a flight").1.clone()
    };
    assert_eq!(of(to.id).len(), others.len() + 1);
    assert_eq!(of(from.id).len(), glasses.len() - 2);
    assert_eq!(
        of(from.id).last().map(|glass| glass.code.clone()),
        Some(code(14))
    );
    // What was taken out can be put in again.
    let form = day.organiser.get(&day.flight(from, "/change")).await;
    let out = free[1].trim_start_matches("Goes to, ");
    let back = [("Add an entry that stands in no flight", out)];
    let done = day.organiser.submit(&form, "Keep the glasses", &back).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let now = day.flights(&club).await;
    let count: usize = now.iter().map(|(_, glasses, _)| glasses.len()).sum();
    assert_eq!(count, 14);
}

#[tokio::test]
async fn who_has_an_entry_in_a_category_leaves_its_flights_to_others() {
    let club = Club::open().await;
    let day = a_day(&club, 3).await;
    day.bottles(&club, 1, 6).await;
    let dry = declared(12.0, Sweetness::Dry);
    day.bottle(&club, (&day.olive, 0, 7), &dry).await;
    day.makes().await;
    let flight = day.flights(&club).await.remove(0).0;
    let page = day.organiser.get(&day.flight(&flight, "")).await;
    assert!(page.text.contains("You have an entry in this category"));
    assert_eq!(page.link("Change its table or its glasses"), None);
    let refused = day.organiser.get(&day.flight(&flight, "/change")).await;
    assert_eq!(refused.status, 409);
}
