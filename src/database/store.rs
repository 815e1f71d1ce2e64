//! What is noted of migrations, in the table that their library keeps.

use sqlx::{PgConnection, PgPool, query, query_scalar};

/// Takes the present wording of a migration for the one that was applied, where that was an earlier released one.
pub(super) async fn take_wording(
    conn: &mut PgConnection,
    version: i64,
    earlier: &[u8],
    present: &[u8],
) -> Result<(), sqlx::Error> {
    let is_there: bool = query_scalar("select to_regclass('_sqlx_migrations') is not null")
        .fetch_one(&mut *conn)
        .await?;
    if is_there {
        query("update _sqlx_migrations set checksum = $3 where version = $1 and checksum = $2 and success")
            .persistent(false)
            .bind(version)
            .bind(earlier)
            .bind(present)
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// Whether the database answers, and takes writes.
pub async fn is_there(pool: &PgPool) -> bool {
    let Ok(mut conn) = pool.acquire().await else {
        return false;
    };
    takes_writes(&mut conn).await.unwrap_or(false)
}

/// Whether a connection's server takes writes: one that another took over from only reads.
pub(super) async fn takes_writes(conn: &mut PgConnection) -> Result<bool, sqlx::Error> {
    let writes = sqlx::query_scalar!(
        r#"select current_setting('transaction_read_only') = 'off' as "writes!""#
    );
    writes.fetch_one(conn).await
}
