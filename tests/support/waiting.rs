//! Waiting for what must come, and no longer than that makes sense; jobs as a test sees and changes them.

use std::time::Duration;

use sqlx::{AssertSqlSafe, PgPool};

use super::Club;

/// How long a test waits for what must come, also on a machine that is busy.
const PATIENCE: Duration = Duration::from_secs(60);

/// Waits for what must come; a fault that keeps it away ends the test, and is named.
pub async fn in_time<T>(what: &str, comes: impl Future<Output = T>) -> T {
    tokio::time::timeout(PATIENCE, comes)
        .await
        .unwrap_or_else(|_| panic!("waited in vain for: {what}"))
}

/// Waits until this is true in the database.
pub async fn until_true(pool: &PgPool, what: &str) {
    let asked = format!("select {what}");
    let comes = async {
        while !sqlx::query_scalar::<_, bool>(AssertSqlSafe(asked.clone()))
            .fetch_one(pool)
            .await
            .expect("the database")
        {
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
    };
    in_time(what, comes).await;
}

/// How many jobs are like this.
pub async fn count_jobs(pool: &PgPool, what: &str) -> i64 {
    let asked = format!("select count(*) from jobs where {what}");
    sqlx::query_scalar(AssertSqlSafe(asked))
        .fetch_one(pool)
        .await
        .expect("the database")
}

/// Changes jobs behind the server's back.
pub async fn change_jobs(club: &Club, what: &str) {
    let mut owner = club.database.owner().await;
    let sql = AssertSqlSafe(format!("update jobs set {what}"));
    sqlx::query(sql).execute(&mut owner).await.expect("changed");
}
