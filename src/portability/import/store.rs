//! Files that wait to be taken in.

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::{PgConnection, query, query_scalar};

use crate::web::Error;
use crate::web::viewer::MemberId;

/// So long a file waits.
const WAITS: TimeDelta = TimeDelta::hours(1);

/// Keeps a file in place of the one before.
pub async fn keep(
    conn: &mut PgConnection,
    member: MemberId,
    archive: &[u8],
    now: DateTime<Utc>,
) -> Result<(), Error> {
    query!(
        "insert into waiting_imports (member_id, archive, sent_at) values ($1, $2, $3)
         on conflict (member_id) do update set archive = excluded.archive, sent_at = excluded.sent_at",
        member.0,
        archive,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The file that waits for a member.
pub async fn find(
    conn: &mut PgConnection,
    member: MemberId,
    now: DateTime<Utc>,
) -> Result<Option<Vec<u8>>, Error> {
    let found = query_scalar!(
        "select archive from waiting_imports where member_id = $1 and sent_at > $2",
        member.0,
        now - WAITS
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Drops the file of a member.
pub async fn drop_one(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!("delete from waiting_imports where member_id = $1", member.0)
        .execute(conn)
        .await?;
    Ok(())
}

/// Drops files that waited too long; tells how many.
pub async fn drop_old(conn: &mut PgConnection, now: DateTime<Utc>) -> Result<u64, Error> {
    let done = query!(
        "delete from waiting_imports where sent_at <= $1",
        now - WAITS
    );
    Ok(done.execute(conn).await?.rows_affected())
}
