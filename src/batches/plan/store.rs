//! Which batches have a plan that may want something.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query_scalar};

use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// The member's batches that are going, and those that were bottled since, the newest first: bottles are tasted on.
pub async fn with_a_plan(
    conn: &mut PgConnection,
    owner: MemberId,
    bottled_since: DateTime<Utc>,
    limit: i64,
) -> Result<Vec<PublicId>, sqlx::Error> {
    query_scalar!(
        r#"select public_id as "public_id: PublicId" from batches
           where owner_id = $1 and binned_at is null
               and (ended_at is null or (how_it_ended = 'bottled' and ended_at > $2))
           order by began_at desc, public_id desc limit $3"#,
        owner.0,
        bottled_since,
        limit
    )
    .fetch_all(conn)
    .await
}
