//! The one moment of which an export tells.

use sqlx::{PgPool, Postgres, Transaction};

use crate::web::Error;

/// A transaction in which everything stands still.
pub async fn snapshot(pool: &PgPool) -> Result<Transaction<'static, Postgres>, Error> {
    Ok(pool
        .begin_with("begin isolation level repeatable read read only")
        .await?)
}
