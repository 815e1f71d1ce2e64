//! Limits and the close, also when many come at once.

use std::sync::Arc;

use mustwright::competitions::entering::model::Refused;
use mustwright::competitions::model::Phase;

use super::super::building::a_competition;
use super::super::entries::an_entry;
use super::{A_BOTTLE, entered, open_for_bo, tries};
use crate::support::{Browser, Club, Page, a_member};

async fn counted(club: &Club, which: &str) -> i64 {
    let sql = format!("select count(*) from competition_entries where {which}");
    sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
        .fetch_one(club.pool())
        .await
        .unwrap()
}

#[tokio::test]
async fn a_limit_is_reached_exactly_and_a_closed_competition_takes_nothing() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let held = a_competition()
        .ruled(|rules| {
            rules.most_per_member = Some(2);
            rules.most_in_all = Some(3);
        })
        .of(&club, &ada)
        .await;
    let id = held.public_id.as_str();
    for _ in 0..2 {
        an_entry().of(&club, id, &ada).await;
    }
    let third = an_entry().tries(&club, id, &ada).await;
    assert_eq!(third, Err(Refused::OneMember(2)));
    an_entry().of(&club, id, &bo).await;
    let fourth = an_entry().tries(&club, id, &bo).await;
    assert_eq!(fourth, Err(Refused::InAll(3)));
    held.stands_in(&club, Phase::Closed).await;
    let late = an_entry().tries(&club, id, &bo).await;
    assert_eq!(late, Err(Refused::Phase(Phase::Closed)));
}

#[tokio::test]
async fn after_the_last_day_nothing_is_taken() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let today = chrono::Utc::now().date_naive();
    for (days, status) in [(2, 200), (-2, 409)] {
        let last = today + chrono::TimeDelta::days(days);
        let held = a_competition()
            .ruled(|rules| rules.closes_on = Some(last.to_string()))
            .of(&club, &ada)
            .await;
        let bo = a_member().named(&format!("Bo {status}")).of(&club).await;
        let bo = club.browser_of(&bo).await;
        let form = bo.get(&format!("{}/enter", held.path)).await;
        assert_eq!(form.status, status, "{days}: {}", form.text);
        // Where nothing is taken no way leads there.
        let page = bo.get(&held.path).await;
        assert_eq!(page.link("Enter a mead").is_some(), status == 200, "{days}");
        let mine = bo.get(&format!("{}/mine", held.path)).await;
        let to = format!("{}/enter", held.path);
        assert_eq!(mine.links().contains(&to), status == 200, "{days}");
        if status == 200 {
            entered(&bo, &held).await;
        }
    }
    // Somebody opened the form in time, and sends it too late.
    let held = a_competition().of(&club, &ada).await;
    let cleo = a_member().named("Cleo").of(&club).await;
    let cleo = club.browser_of(&cleo).await;
    let category = held.categories[0].id.0.to_string();
    let mut typed = A_BOTTLE.to_vec();
    typed.push(("Category", &category));
    let form = cleo.get(&format!("{}/enter", held.path)).await;
    let over = (today - chrono::TimeDelta::days(2)).to_string();
    sqlx::query("update competitions set rules = jsonb_set(rules, '{closes_on}', to_jsonb($2::text)) where id = $1")
        .bind(held.id.0)
        .bind(over)
        .execute(club.pool())
        .await
        .unwrap();
    let late = cleo.submit(&form, "Enter it", &typed).await;
    assert_eq!(late.status, 409, "{}", late.text);
    assert!(
        late.text.contains("The last day to enter was"),
        "{}",
        late.text
    );
    assert_eq!(counted(&club, "true").await, 1);
}

/// Sends a form until the server is not too busy to take it.
async fn pressed(browser: Arc<Browser>, action: String, fields: Vec<(String, String)>) -> Page {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    loop {
        let page = browser.post(&action, &fields).await;
        if page.status != 503 {
            return page;
        }
    }
}

#[tokio::test]
async fn of_fifty_forms_at_once_exactly_the_limit_is_taken() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let held = a_competition()
        .ruled(|rules| rules.most_in_all = Some(7))
        .of(&club, &ada)
        .await;
    let category = held.categories[0].id.0.to_string();
    let mut typed = A_BOTTLE.to_vec();
    typed.push(("Category", &category));
    let mut tasks = Vec::new();
    for number in 0..5 {
        let person = a_member().named(&format!("Maker {number}")).of(&club).await;
        let browser = Arc::new(club.browser_of(&person).await);
        for _ in 0..10 {
            let form = browser.get(&format!("{}/enter", held.path)).await;
            let (action, fields) = form.filled("Enter it", &typed);
            tasks.push((browser.clone(), action, fields));
        }
    }
    let tasks: Vec<_> = tasks
        .into_iter()
        .map(|(browser, action, fields)| tokio::spawn(pressed(browser, action, fields)))
        .collect();
    let mut statuses = Vec::new();
    for task in tasks {
        statuses.push(task.await.unwrap().status);
    }
    let taken = statuses.iter().filter(|status| **status == 303).count();
    let refused = statuses.iter().filter(|status| **status == 409).count();
    assert_eq!((taken, refused), (7, 43), "{statuses:?}");
    assert_eq!(counted(&club, "withdrawn_at is null").await, 7);
    let codes: i64 = sqlx::query_scalar("select count(distinct code) from competition_entries")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(codes, 7);
}

#[tokio::test]
async fn the_same_form_twice_is_one_entry() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let category = held.categories[0].id.0.to_string();
    let mut typed = A_BOTTLE.to_vec();
    typed.push(("Category", &category));
    let form = bo.get(&format!("{}/enter", held.path)).await;
    let first = bo.submit(&form, "Enter it", &typed).await;
    let second = bo.submit(&form, "Enter it", &typed).await;
    assert_eq!((first.status, first.location()), (303, second.location()));
    assert_eq!(counted(&club, "true").await, 1);
}

#[tokio::test]
async fn a_withdrawn_entry_makes_room_for_another() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let held = a_competition()
        .ruled(|rules| rules.most_per_member = Some(1))
        .of(&club, &ada)
        .await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let entry = entered(&bo, &held).await;
    let second = tries(&bo, &held, &[]).await;
    assert_eq!(second.status, 409);
    assert!(
        second.text.contains("one member may enter one"),
        "{}",
        second.text
    );
    let page = bo.get(&entry).await;
    let done = bo.submit(&page, "Withdraw it", &[]).await;
    let page = bo.follow(done).await;
    assert!(page.text.contains("withdrawn"), "{}", page.text);
    assert!(!page.has_button("Withdraw it"));
    entered(&bo, &held).await;
}

/// Waits until somebody waits for a row that another transaction holds.
async fn somebody_waits(club: &Club) {
    loop {
        let waits: bool = sqlx::query_scalar(
            "select exists (select from pg_locks l join pg_stat_activity a on a.pid = l.pid
                 where not l.granted and a.datname = current_database())",
        )
        .fetch_one(club.pool())
        .await
        .unwrap();
        if waits {
            return;
        }
        tokio::task::yield_now().await;
    }
}

#[tokio::test]
async fn whoever_withdraws_while_entries_close_is_told_that_it_is_too_late() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let entry = entered(&bo, &held).await;
    let page = bo.get(&entry).await;
    let (action, _) = page.filled("Withdraw it", &[]);
    let mut tx = club.pool().begin().await.unwrap();
    sqlx::query("update competitions set phase = 'closed' where id = $1")
        .bind(held.id.0)
        .execute(&mut *tx)
        .await
        .unwrap();
    let withdrawing = tokio::spawn(async move { bo.post(&action, &[]).await });
    somebody_waits(&club).await;
    tx.commit().await.unwrap();
    let answer = withdrawing.await.unwrap();
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert_eq!(counted(&club, "withdrawn_at is not null").await, 0);
}
