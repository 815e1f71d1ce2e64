//! How a mead becomes with age: how much it was liked, by the months since it was mixed, from all tastings that the viewer may see.

pub mod store;
mod view;

use sqlx::PgConnection;

use super::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

pub use view::AgeingPart;

/// Of all batches of a recipe.
///
/// # Errors
/// When the database does not answer.
pub async fn of_recipe(
    conn: &mut PgConnection,
    viewer: MemberId,
    recipe: &PublicId,
) -> Result<Option<AgeingPart>, sqlx::Error> {
    let batches = store::batches_of(conn, viewer, recipe).await?;
    if batches.is_empty() {
        return Ok(None);
    }
    let liked = store::liked(conn, viewer, &batches).await?;
    Ok(AgeingPart::of(&liked, "of this recipe"))
}

/// Of one batch that the viewer sees.
///
/// # Errors
/// When the database does not answer.
pub async fn of_batch(
    conn: &mut PgConnection,
    viewer: MemberId,
    batch: BatchId,
) -> Result<Option<AgeingPart>, sqlx::Error> {
    let liked = store::liked(conn, viewer, &[batch]).await?;
    Ok(AgeingPart::of(&liked, "of this batch"))
}
