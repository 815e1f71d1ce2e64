//! What goes for good by itself: who left, what lay in the bin, drafts nobody wants, files nobody took in.

use chrono::{DateTime, Utc};
use sqlx::PgPool;

use super::store;
use crate::portability::import;
use crate::recipes::drafts;
use crate::web::Error;

/// What went.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Gone {
    pub members: u64,
    pub batches: i64,
    pub recipes: i64,
    pub drafts: u64,
    pub files: u64,
    /// Members who are due and could not go yet.
    pub kept: u64,
}

/// Removes what is due. Each piece is a transaction of its own, so that one that cannot go keeps no other; of several
/// servers that come at once one does the work.
///
/// # Errors
/// The database.
pub async fn tidy(pool: &PgPool, now: DateTime<Utc>) -> Result<Gone, Error> {
    let mut gone = Gone::default();
    let mut conn = pool.acquire().await?;
    let due = store::due(&mut conn, now).await?;
    drop(conn);
    for member in due {
        match forget(pool, member, now).await {
            Ok(true) => gone.members += 1,
            Ok(false) => gone.kept += 1,
            Err(error) => {
                gone.kept += 1;
                tracing::error!(
                    member = member.0,
                    cause = error.cause(),
                    "is not forgotten yet"
                );
            }
        }
    }
    let mut tx = pool.begin().await?;
    if !store::claim(&mut tx).await? {
        return Ok(gone);
    }
    store::take_time(&mut tx).await?;
    gone.batches = store::empty_bins_of_batches(&mut tx, now).await?;
    gone.recipes = store::empty_bins(&mut tx, now).await?;
    gone.drafts = drafts::store::prune(&mut tx, now).await?;
    gone.files = import::store::drop_old(&mut tx, now).await?;
    tx.commit().await?;
    Ok(gone)
}

async fn forget(
    pool: &PgPool,
    member: crate::web::MemberId,
    now: DateTime<Utc>,
) -> Result<bool, Error> {
    let mut tx = pool.begin().await?;
    if !store::claim(&mut tx).await? {
        return Ok(false);
    }
    store::take_time(&mut tx).await?;
    let done = store::forget(&mut tx, member, now).await?;
    tx.commit().await?;
    if done {
        tracing::info!(member = member.0, "forgotten");
    }
    Ok(done)
}
