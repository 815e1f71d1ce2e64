//! A server is killed in the middle of a job, and the other one does it, once.

use std::time::Duration;

use chrono::{DateTime, Utc};
use sqlx::{AssertSqlSafe, Connection, Executor, PgPool};

use super::Two;
use crate::support::{a_keeper, a_member, in_time};

/// Whether this is true of the job that removes for good.
async fn is(pool: &PgPool, what: &str) -> bool {
    let asked = format!("select exists (select from jobs where kind = 'gone_for_good' and {what})");
    let asked = sqlx::query_scalar(AssertSqlSafe(asked));
    asked.fetch_one(pool).await.expect("the database")
}

/// Waits until it is.
async fn until(pool: &PgPool, what: &str) {
    let comes = async {
        while !is(pool, what).await {
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    };
    in_time(what, comes).await;
}

#[tokio::test]
async fn who_is_killed_in_the_middle_is_followed_and_the_work_is_done_once() {
    let mut two = Two::closed(&[]).await;
    let wren = a_keeper().of(&two.club).await;
    let ada = a_member().of(&two.club).await;
    let wren = two.club.browser_of(&wren).await;
    let pool = two.club.pool().clone();
    let mut owner = two.club.database.owner().await;
    sqlx::query("update members set left_at = now() - interval '40 days', disabled_at = now() - interval '40 days' where id = $1")
        .bind(ada.id.0)
        .execute(&mut owner)
        .await
        .unwrap();
    two.start(0).await;
    until(&pool, "true").await;

    // The work stands still before the row that the test holds.
    let mut holding = two.club.database.owner().await;
    let mut held = holding.begin().await.unwrap();
    sqlx::query("select from members where id = $1 for update")
        .bind(ada.id.0)
        .execute(&mut *held)
        .await
        .unwrap();
    owner
        .execute("update jobs set due_at = now() where kind = 'gone_for_good'")
        .await
        .unwrap();
    until(&pool, "turn = 1 and held_until > now()").await;
    let killed = two.take(0);
    killed.signal("KILL");
    killed.ends().await;

    // Nobody takes it away from the dead one before its time is over.
    two.start(1).await;
    until(&pool, "turn = 1 and held_until > now()").await;
    held.rollback().await.unwrap();
    owner
        .execute("update jobs set held_until = now() where kind = 'gone_for_good'")
        .await
        .unwrap();
    until(&pool, "turn > 1").await;
    // What the dead one had begun in the database may hold the other up for a moment.
    let again = "update jobs set due_at = now() where kind = 'gone_for_good' and held_until is null and done_at is null";
    let done = async {
        while owner.execute(again).await.unwrap().rows_affected() > 0
            || !is(&pool, "done_at is not null").await
        {
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    };
    in_time("the work is done", done).await;
    let (gone_at, name): (Option<DateTime<Utc>>, String) =
        sqlx::query_as("select gone_at, name from members where id = $1")
            .bind(ada.id.0)
            .fetch_one(&pool)
            .await
            .unwrap();
    assert!(gone_at.is_some() && name != ada.name, "{name}");
    let health = wren.get("/keeper/health").await;
    assert!(!health.text.contains("stopped in the middle"));
    assert!(health.text.contains("done last on"), "{}", health.text);
}
