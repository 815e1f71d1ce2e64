//! Rules that hold wherever somebody comes from: at the order of a final and at paper as at a sheet, in the database as on pages, by
//! hand as by the plan.

use mustwright::competitions::flights::model::Kind;
use mustwright::competitions::model::Phase;
use mustwright::engine::contest::declared::Sweetness;
use mustwright::engine::contest::rules::Tie;
use mustwright::web::viewer::MemberId;

use super::building::a_competition;
use super::flights::{a_day as a_hall, declared};
use super::judging::{Day, a_day, filled};
use super::organise::organiser;
use super::results::judged;
use crate::support::{Club, a_member};

/// Keeps the two apart past all pages, as it stood before they sat down.
async fn apart(day: &Day, one: MemberId, other: MemberId) {
    sqlx::query(
        "insert into competition_conflicts (competition_id, one_id, other_id) values ($1, least($2, $3), greatest($2, $3))",
    )
    .bind(day.held.id.0)
    .bind(one.0)
    .bind(other.0)
    .execute(day.club.pool())
    .await
    .expect("a conflict");
}

#[tokio::test]
async fn who_is_kept_apart_from_a_glass_puts_no_final_in_order() {
    let day = a_day(2).await;
    let (_, finale) = day.flight_of(Kind::Final, 2, &["KM472", "TR936"]).await;
    let ada = day.as_(&day.ada).await;
    let form = ada.get(&finale).await;
    apart(&day, day.ada.id, day.makers[0].id).await;
    let places = [("KM472, its place", "1"), ("TR936, its place", "2")];
    let refused = ada.submit(&form, "Write my order down", &places).await;
    assert_eq!(refused.status, 409, "{}", refused.text);
    assert!(!refused.text.contains("Mona"), "{}", refused.text);
    assert_eq!(
        day.count("select count(*) from competition_orders").await,
        0
    );
}

#[tokio::test]
async fn paper_of_a_judge_who_is_kept_apart_is_not_typed_in() {
    let day = a_day(1).await;
    let sten = day.as_(&day.steward).await;
    let sheets = sten.get(&format!("{}/sheets", day.held.path)).await;
    let sheet = sheets.link("Ada, KM472").expect("the sheet");
    let form = sten.get(&sheet).await;
    apart(&day, day.ada.id, day.makers[0].id).await;
    let refused = sten
        .submit(&form, "It says so on the paper", &filled(&[]))
        .await;
    assert_eq!(refused.status, 409, "{}", refused.text);
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        0
    );
}

#[tokio::test]
async fn what_decides_is_added_to_and_never_changed() {
    let club = Club::open().await;
    let all = judged(&club, |rules| {
        rules.ties = vec![Tie::Drawn];
        rules.draw_from = "the state lottery".to_owned();
    })
    .await;
    let orla = club.browser_of(&all.orla).await;
    let review = orla.get(&all.at("review")).await;
    let number = [("The number as it was published", "4 8 15")];
    let noted = orla.submit(&review, "Note it", &number).await;
    assert_eq!(noted.status, 303, "{}", noted.text);
    all.reckoned(&orla).await;
    let mut owner = club.database.owner().await;
    for table in [
        "competition_sheets",
        "competition_agreed",
        "competition_orders",
        "competition_draws",
        "competition_results",
        "competition_deeds",
    ] {
        let count = format!("select count(*) from {table}");
        let rows: i64 = sqlx::query_scalar(sqlx::AssertSqlSafe(count))
            .fetch_one(club.pool())
            .await
            .expect("a count");
        assert!(rows > 0, "{table} has nothing that could be changed");
        for change in [
            format!("update {table} set at = at"),
            format!("delete from {table}"),
            format!("truncate {table} cascade"),
        ] {
            let by_app = sqlx::query(sqlx::AssertSqlSafe(change.clone()));
            assert!(by_app.execute(club.pool()).await.is_err(), "{change}");
            let by_owner = sqlx::query(sqlx::AssertSqlSafe(change.clone()));
            assert!(by_owner.execute(&mut owner).await.is_err(), "{change}");
        }
    }
}

#[tokio::test]
async fn closing_seals_whose_every_entry_is() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let held = a_competition().of(&club, &person).await;
    held.entry_of(&club, &bo, 0, "AC234").await;
    let page = orla.get(&format!("{}/phase", held.path)).await;
    let closed = orla.submit(&page, "Close it for entries", &[]).await;
    assert_eq!(closed.status, 303, "{}", closed.text);
    let (sealed, seals): (bool, i64) = sqlx::query_as(
        "select commitment is not null and commitment_salt is not null, (select count(*) from competition_seals)
         from competitions",
    )
    .fetch_one(club.pool())
    .await
    .expect("the seal");
    assert_eq!((sealed, seals), (true, 1));
    let deeds: Vec<String> =
        sqlx::query_scalar("select deed from competition_deeds order by number")
            .fetch_all(club.pool())
            .await
            .expect("deeds");
    assert_eq!(deeds, ["made", "sealed", "phase"]);
}

#[tokio::test]
async fn a_judge_may_want_fewer_glasses_than_the_rules_let_them_and_never_more() {
    let club = Club::open().await;
    let hall = a_hall(&club, 3).await;
    hall.bottles(&club, 1, 12).await;
    for (judge, ceiling) in [(0, 60), (1, 9)] {
        sqlx::query("update competition_roster set ceiling = $2 where member_id = $1")
            .bind(hall.judges[judge].id.0)
            .bind(ceiling)
            .execute(club.pool())
            .await
            .expect("the roster");
    }
    let page = hall.makes().await;
    let loads = page.words_of("#loads").expect("loads");
    let of = |name: &str| {
        let behind = loads.split(name).nth(1).unwrap_or_default();
        behind.split(" a day").next().unwrap_or_default().to_owned()
    };
    assert!(of("Jan").ends_with("of at most 24"), "{loads}");
    assert!(of("Kim").ends_with("of at most 9"), "{loads}");
    let most: Vec<i64> = sqlx::query_scalar(
        "select count(*) from competition_tables t join competition_pours p on p.flight_id = t.flight_id
         where t.member_id = $1 group by t.member_id",
    )
    .bind(hall.judges[1].id.0)
    .fetch_all(club.pool())
    .await
    .expect("Kim’s glasses");
    assert!(most.iter().all(|glasses| *glasses <= 9), "{most:?}");
}

#[tokio::test]
async fn six_strong_ones_are_the_most_by_the_plan_and_by_hand() {
    let club = Club::open().await;
    let hall = a_hall(&club, 4).await;
    for number in 1..=8 {
        let strong = declared(15.0, Sweetness::Dry);
        hall.bottle(&club, (&hall.mara, 0, number), &strong).await;
    }
    hall.makes().await;
    let all = hall.flights(&club).await;
    assert!(all.len() > 1);
    assert!(all.iter().all(|(_, glasses, _)| glasses.len() <= 6));
    let (from, glasses, _) = &all[0];
    let number = all[1].0.number.to_string();
    let form = hall.organiser.get(&hall.flight(from, "/change")).await;
    let moved: Vec<String> = glasses[1..]
        .iter()
        .map(|glass| format!("Goes to, {}", glass.code))
        .collect();
    let typed: Vec<(&str, &str)> = moved
        .iter()
        .map(|label| (label.as_str(), number.as_str()))
        .collect();
    let refused = hall
        .organiser
        .submit(&form, "Keep the glasses", &typed)
        .await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(
        refused.text.contains("strong glasses: 6 are the most"),
        "{}",
        refused.text
    );
    let now = hall.flights(&club).await;
    assert_eq!(now[0].1.len(), glasses.len(), "nothing moved");
}

#[tokio::test]
async fn what_is_over_is_no_longer_told_as_to_be_done() {
    let club = Club::open().await;
    let (orla, _) = organiser(&club).await;
    for (phase, goes_to, judged_on) in [
        (Phase::Open, true, true),
        (Phase::Closed, true, true),
        (Phase::Received, false, true),
        (Phase::Review, false, true),
        (Phase::Released, false, false),
    ] {
        let held = a_competition()
            .ruled(|rules| {
                rules.drop_off_at = "the old mill".to_owned();
                rules.judged_on = Some("2026-12-19".to_owned());
            })
            .in_phase(phase)
            .of(&club, &orla)
            .await;
        let page = club.browser_of(&orla).await.get(&held.path).await;
        let told = |words: &str| page.text.contains(words);
        assert_eq!(told("the old mill"), goes_to, "{phase:?}: {}", page.text);
        assert_eq!(told("19 December 2026"), judged_on, "{phase:?}");
    }
}
