//! Numbers that lists keep, reckoned again when the engine or what is kept has changed.

pub mod store;

use sqlx::PgPool;

use super::forms::check::stored;
use super::numbers::summary::{numbers_for_lists, version};
use super::store::{numbers_of, put_numbers};
use crate::engine::{Settings, formulate};
use crate::web::error::Error;

/// Revisions of one transaction: a save waits for no more than these.
const BATCH: i64 = 50;

/// Renews what an older version reckoned, batch by batch. May be stopped at any time and begun anew, also by several
/// servers at once: what one has in hand the others leave alone. Tells how many there were.
pub async fn renew(pool: &PgPool) -> Result<usize, Error> {
    let (mut renewed, mut from) = (0, 0);
    loop {
        let mut tx = pool.begin().await?;
        let stale = store::stale(&mut tx, &version(), from, BATCH).await?;
        let Some(last) = stale.last() else {
            return Ok(renewed);
        };
        from = last.revision.0;
        renewed += stale.len();
        for revision in stale {
            let numbers = match stored(&revision.document) {
                Some(recipe) => {
                    let numbers = formulate(&recipe, &Settings::default());
                    numbers_for_lists(&recipe, &numbers)
                }
                // What does not read keeps its numbers, and is not asked again.
                None => {
                    let mut old = numbers_of(&mut tx, revision.revision).await?;
                    old.engine_version = version();
                    old
                }
            };
            put_numbers(&mut tx, revision.revision, &numbers).await?;
        }
        tx.commit().await?;
        tokio::task::yield_now().await;
    }
}
