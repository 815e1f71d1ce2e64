//! Who is taken off the roster leaves their tables, asked before; who is kept apart late leaves them whatever is poured there.

use mustwright::competitions::flights::model::Glass;
use mustwright::competitions::model::Phase;
use mustwright::competitions::organise::store::standing;

use super::flights::{Day, a_day};
use crate::support::{Browser, Club};

/// Names at each table, by the flight's number.
async fn tables(club: &Club, day: &Day) -> Vec<(i32, Vec<String>)> {
    let mut all: Vec<(i32, Vec<String>)> = day
        .flights(club)
        .await
        .into_iter()
        .map(|(flight, _, table)| {
            let names = table.into_iter().map(|seat| seat.name).collect();
            (flight.number, names)
        })
        .collect();
    all.sort();
    all
}

#[tokio::test]
async fn the_seats_of_a_judge_go_with_the_duty_once_that_is_asked() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    day.bottles(&club, 1, 12).await;
    day.makes().await;
    let before = tables(&club, &day).await;
    // Whoever leads the first table.
    let name = before[0].1[0].clone();
    let roster = day.organiser.get(&day.path("/roster")).await;
    assert!(!roster.has_button(&format!("Take the duty away {name}")));
    let asks = roster.link(&format!("Take the duty away {name}"));
    let asked = day.organiser.get(&asks.expect("where it is asked")).await;
    assert!(asked.text.contains("Flight 1, "), "{}", asked.text);
    assert_eq!(tables(&club, &day).await, before, "asking takes nothing");
    // The bare form, as of a page that stood open since before there were tables.
    let (action, fields) = asked.filled("Take duty and seats away", &[]);
    let bare: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .filter(|(name, _)| *name != "sure")
        .collect();
    let led = day.organiser.post(&action, &bare).await;
    assert_eq!(led.status, 303);
    assert!(
        led.location()
            .is_some_and(|to| to.contains("/roster/seats/"))
    );
    assert_eq!(tables(&club, &day).await, before);

    let done = day
        .organiser
        .submit(&asked, "Take duty and seats away", &[])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let after = tables(&club, &day).await;
    for ((number, names), (_, now)) in before.iter().zip(&after) {
        let others: Vec<&String> = names.iter().filter(|one| **one != name).collect();
        assert_eq!(now.iter().collect::<Vec<_>>(), others, "flight {number}");
    }
    let leaders: Vec<i64> = sqlx::query_scalar(
        "select count(*) filter (where leads) from competition_tables group by flight_id",
    )
    .fetch_all(club.pool())
    .await
    .expect("counts");
    assert!(leaders.iter().all(|leads| *leads == 1), "{leaders:?}");
    let about: serde_json::Value =
        sqlx::query_scalar("select about from competition_deeds where deed = 'duty_taken'")
            .fetch_one(club.pool())
            .await
            .expect("a deed");
    assert!(
        about["seats"]
            .as_str()
            .is_some_and(|told| told.contains('1')),
        "{about}"
    );
}

/// What a judge reads, as words: the way there, the list of their glasses, and every glass.
async fn read_by(browser: &Browser, club: &Club, day: &Day) -> Vec<(u16, String)> {
    let mut paths = vec![day.path(""), day.path("/judging")];
    for (flight, glasses, _) in day.flights(club).await {
        let of = |glass: &Glass| day.path(&format!("/judging/{}/{}", flight.public_id, glass.code));
        paths.extend(glasses.iter().map(of));
    }
    let mut all = Vec::new();
    for path in paths {
        let page = browser.get(&path).await;
        let words = page.words_of("main").unwrap_or_default();
        // What the keeper is told of a page that is not there is another number each time.
        let words = words.split("name the reference").next().map(str::to_owned);
        all.push((page.status, words.unwrap_or_default()));
    }
    all
}

async fn seats_of(club: &Club, judge: i64) -> i64 {
    sqlx::query_scalar("select count(*) from competition_tables where member_id = $1")
        .bind(judge)
        .fetch_one(club.pool())
        .await
        .expect("a count")
}

#[tokio::test]
async fn keeping_somebody_apart_late_looks_the_same_whether_they_entered_or_not() {
    let mut seen = Vec::new();
    for entered in [true, false] {
        let club = Club::open().await;
        let day = a_day(&club, 4).await;
        day.bottles(&club, 1, 12).await;
        day.makes().await;
        day.held.stands_in(&club, Phase::Judging).await;
        let jan = club.browser_of(&day.judges[0]).await;
        assert!(seats_of(&club, day.judges[0].id.0).await > 0);
        // Every glass is Mara’s; Stew entered none.
        let whose = if entered { "Mara Elderkin" } else { "Stew" };
        let form = jan.get(&day.path("/my-limits")).await;
        assert!(form.text.contains("you leave every table"), "{}", form.text);
        let said = jan.submit(&form, "Save", &[(whose, "yes")]).await;
        assert_eq!(said.status, 303, "{}", said.text);
        assert_eq!(seats_of(&club, day.judges[0].id.0).await, 0);
        // Nor by taking it back does anybody try out one name after another.
        let form = jan.get(&day.path("/my-limits")).await;
        let (at, fields) = form.filled("Save", &[]);
        let none: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .filter(|(name, _)| !name.starts_with("apart_"))
            .collect();
        assert_eq!(jan.post(&at, &none).await.status, 303);
        let kept: i64 = sqlx::query_scalar("select count(*) from competition_conflicts")
            .fetch_one(club.pool())
            .await
            .expect("a count");
        assert_eq!(kept, 1);
        let read = read_by(&jan, &club, &day).await;
        assert_eq!(read.len(), 14);
        seen.push(read);
    }
    assert_eq!(seen[0], seen[1]);
}

#[tokio::test]
async fn who_left_the_club_is_given_no_seat() {
    let club = Club::open().await;
    let day = a_day(&club, 3).await;
    day.bottles(&club, 1, 6).await;
    // Of three judges the first two are experienced.
    sqlx::query("update members set left_at = now(), disabled_at = now() where id = $1")
        .bind(day.judges[0].id.0)
        .execute(club.pool())
        .await
        .expect("gone");
    day.makes().await;
    let tables = tables(&club, &day).await;
    assert_eq!(tables, [(1, vec!["Kim".to_owned(), "Lou".to_owned()])]);
    let flight = day.flights(&club).await.remove(0).0;
    let form = day.organiser.get(&day.flight(&flight, "/change")).await;
    assert!(!form.text.contains(">Jan"), "{}", form.text);
    // A table at which nobody is left who could sign is a table without anybody.
    let unseated = async || {
        let mut conn = club.pool().acquire().await.expect("a connection");
        let standing = standing(&mut conn, day.held.id)
            .await
            .expect("the standing");
        standing.unseated
    };
    assert_eq!(unseated().await, 0);
    sqlx::query("update members set left_at = now(), disabled_at = now() where id = any($1)")
        .bind([day.judges[1].id.0, day.judges[2].id.0])
        .execute(club.pool())
        .await
        .expect("gone too");
    assert_eq!(unseated().await, 1);
}
