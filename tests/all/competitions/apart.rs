//! Organisers keep two apart who have not said so; whoever judges or pours neither does nor reads that, nor changes tables, where a
//! refusal would tell whose an entry is.

use mustwright::competitions::flights::conflicts::forbidden;
use mustwright::competitions::model::{Duty, EntryId, Phase};
use mustwright::competitions::organise::store::add_duty;
use mustwright::engine::contest::declared::Sweetness;

use super::flights::{CANARY, Day, a_day, choice, declared};
use crate::support::{Club, Page};

async fn keeps_apart(day: &Day, judge: &str, whose: &str) -> Page {
    let page = day.organiser.get(&day.path("/roster/apart")).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let fields = [
        ("The judge", choice(&page, &format!("{judge}<"))),
        ("Whose meads", choice(&page, &format!("{whose}<"))),
    ];
    let fields = fields
        .each_ref()
        .map(|(label, value)| (*label, value.as_str()));
    day.organiser
        .submit(&page, "Keep them apart", &fields)
        .await
}

async fn seats_of(club: &Club, name: &str) -> i64 {
    sqlx::query_scalar(
        "select count(*) from competition_tables t join members m on m.id = t.member_id where m.name = $1",
    )
    .bind(name)
    .fetch_one(club.pool())
    .await
    .expect("a count")
}

#[tokio::test]
async fn two_are_kept_apart_and_the_judge_does_not_read_it() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    let dry = declared(11.0, Sweetness::Dry);
    let hers = day.bottle(&club, (&day.mara, 0, 1), &dry).await;
    for number in 2..=12 {
        day.bottle(&club, (&day.stew, 0, number), &dry).await;
    }
    day.makes().await;
    let roster = day.organiser.get(&day.path("/roster")).await;
    assert!(roster.link("keep them apart").is_some(), "{}", roster.text);
    let page = day.organiser.get(&day.path("/roster/apart")).await;
    let nobody = day.organiser.submit(&page, "Keep them apart", &[]).await;
    assert_eq!(nobody.status, 422);
    assert!(!nobody.fault("The judge").is_empty() && !nobody.fault("Whose meads").is_empty());
    let (jan, lou) = (&day.judges[0], &day.judges[2]);
    assert!(seats_of(&club, "Jan").await > 0);
    let done = keeps_apart(&day, "Jan", CANARY).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(seats_of(&club, "Jan").await, 0);
    let mut conn = club.pool().acquire().await.expect("a connection");
    let pairs = forbidden(&mut conn, day.held.id).await.expect("pairs");
    assert!(pairs.has(jan.id, EntryId(hers)) && !pairs.has(lou.id, EntryId(hers)));
    // Made again, no table of Jan’s has it.
    let list = day.organiser.get(&day.path("/flights")).await;
    let again = day.organiser.submit(&list, "Make them anew", &[]).await;
    assert_eq!(again.status, 303, "{}", again.text);
    for (_, glasses, table) in day.flights(&club).await {
        let sits = table.iter().any(|seat| seat.name == "Jan");
        let hers = glasses.iter().any(|glass| glass.entry == EntryId(hers));
        assert!(!(sits && hers));
    }
    // The judge finds no tick, and what the judge says takes nothing of it away.
    let browser = club.browser_of(jan).await;
    let form = browser.get(&day.path("/my-limits")).await;
    assert!(!form.text.contains("checked"), "{}", form.text);
    assert_eq!(browser.submit(&form, "Save", &[]).await.status, 303);
    let pairs = forbidden(&mut conn, day.held.id).await.expect("pairs");
    assert!(pairs.has(jan.id, EntryId(hers)));
    // Said by the judge too, it stays when the organiser takes theirs back.
    let form = browser.get(&day.path("/my-limits")).await;
    browser.submit(&form, "Save", &[(CANARY, "yes")]).await;
    let page = day.organiser.get(&day.path("/roster/apart")).await;
    assert!(page.text.contains(&format!("and {CANARY}")) || page.text.contains("and Jan"));
    let first = if page.has_button("Take it back Jan") {
        "Jan"
    } else {
        CANARY
    };
    let back = day
        .organiser
        .submit(&page, &format!("Take it back {first}"), &[])
        .await;
    assert_eq!(back.status, 303, "{}", back.text);
    let page = day.organiser.get(&day.path("/roster/apart")).await;
    assert!(page.text.contains("added nobody yet"), "{}", page.text);
    let pairs = forbidden(&mut conn, day.held.id).await.expect("pairs");
    assert!(pairs.has(jan.id, EntryId(hers)));
    let told: Vec<serde_json::Value> = sqlx::query_scalar(
        "select about from competition_deeds where deed in ('kept_apart', 'let_together')",
    )
    .fetch_all(club.pool())
    .await
    .expect("deeds");
    assert_eq!(told.len(), 2);
    assert!(
        told.iter().all(|about| about.get("other").is_none()),
        "{told:?}"
    );
}

#[tokio::test]
async fn an_organiser_who_judges_learns_from_no_table_whose_an_entry_is() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    day.bottles(&club, 1, 6).await;
    day.makes().await;
    let flight = day.flights(&club).await.remove(0).0;
    let change = day.flight(&flight, "/change");
    assert_eq!(day.organiser.get(&change).await.status, 200);
    let form = day.organiser.get(&change).await;
    let page = day.organiser.get(&day.flight(&flight, "")).await;
    assert!(page.link("Change its table or its glasses").is_some());
    keeps_apart(&day, "Kim", CANARY).await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    assert!(
        add_duty(&mut conn, day.held.id, day.olive.id, Duty::Judge)
            .await
            .expect("a duty")
    );
    drop(conn);
    let judging = &day.organiser;
    let apart = judging.get(&day.path("/roster/apart")).await;
    assert!(!apart.text.contains(CANARY), "{}", apart.text);
    assert!(!apart.has_button("Keep them apart"));
    let page = judging.get(&day.flight(&flight, "")).await;
    assert!(
        page.link("Change its table or its glasses").is_none(),
        "{}",
        page.text
    );
    assert_eq!(judging.get(&change).await.status, 409);
    for button in ["Keep the table", "Keep the glasses"] {
        assert_eq!(
            judging.submit(&form, button, &[]).await.status,
            409,
            "{button}"
        );
    }
    let kim: String = sqlx::query_scalar("select public_id from members where name = 'Kim'")
        .fetch_one(club.pool())
        .await
        .expect("Kim");
    let mara: String = sqlx::query_scalar("select public_id from members where id = $1")
        .bind(day.mara.id.0)
        .fetch_one(club.pool())
        .await
        .expect("Mara");
    let both = [("judge", kim.as_str()), ("maker", mara.as_str())];
    let refused = judging.post(&day.path("/roster/apart"), &both).await;
    assert_eq!(refused.status, 403, "{}", refused.text);
    // Who is walled off from what is told with the names, and those are not for whoever judges.
    day.held.stands_in(&club, Phase::Judging).await;
    for part in [
        "", "/roster", "/entries", "/desk", "/flights", "/phase", "/sheets",
    ] {
        let page = judging.get(&day.path(part)).await;
        assert!(!page.text.contains("walled off"), "{part}");
        assert!(
            !page.text.contains(CANARY) || part == "/roster",
            "{part}: {}",
            page.text
        );
    }
    // Somebody sits there who must not: organisers who neither judge nor pour are told.
    sqlx::query("insert into competition_tables (flight_id, member_id) values ($1, $2)")
        .bind(flight.id.0)
        .bind(day.judges[1].id.0)
        .execute(club.pool())
        .await
        .expect("a seat");
    let words = "must not judge one of its glasses";
    assert!(
        !judging
            .get(&day.path("/flights"))
            .await
            .text
            .contains(words)
    );
    sqlx::query("delete from competition_roster where member_id = $1 and duty = 'judge'")
        .bind(day.olive.id.0)
        .execute(club.pool())
        .await
        .expect("the roster");
    assert!(
        judging
            .get(&day.path("/flights"))
            .await
            .text
            .contains(words)
    );
}
