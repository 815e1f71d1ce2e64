//! Rows of who leaves, and of what goes for good. The work itself is done by functions of the database, whose owner may
//! remove what the serving role may not.

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::{PgConnection, query, query_scalar};

use super::KEPT_DAYS;
use crate::mail;
use crate::members::mentors::store::place_newcomers;
use crate::members::roll::{Changed, store as roll};
use crate::web::Error;
use crate::web::viewer::{Member, MemberId};

/// The advisory lock under which things go for good: of several servers one does it.
const LOCK: i64 = 0x6d75_7374_0003;

/// Shuts the account and puts what nobody else sees into the bin, within the caller's transaction.
pub async fn leave(
    conn: &mut PgConnection,
    member: &Member,
    now: DateTime<Utc>,
) -> Result<Changed, Error> {
    let changed = roll::shut_out(conn, &member.public_id).await?;
    if changed != Changed::Done {
        return Ok(changed);
    }
    query!(
        "update members set left_at = $2 where id = $1",
        member.id.0,
        now
    )
    .execute(&mut *conn)
    .await?;
    // The same moment tells later what leaving put there.
    query!(
        "update recipes set binned_at = $2 where owner_id = $1 and visibility <> 'club' and binned_at is null",
        member.id.0,
        now
    )
    .execute(&mut *conn)
    .await?;
    place_newcomers(conn, None, now).await?;
    Ok(Changed::Done)
}

/// Lets a member in again, who finds everything as it was, within the caller's transaction.
pub async fn come_back(conn: &mut PgConnection, public_id: &str) -> Result<Changed, Error> {
    query!(
        "update recipes r set binned_at = null from members m
         where m.public_id = $1 and m.gone_at is null and r.owner_id = m.id and r.binned_at = m.left_at",
        public_id
    )
    .execute(&mut *conn)
    .await?;
    roll::let_in(conn, public_id).await
}

/// Claims the right to remove things until the caller's transaction ends; false when another server has it.
pub async fn claim(conn: &mut PgConnection) -> Result<bool, Error> {
    let claimed = query_scalar!(
        r#"select pg_try_advisory_xact_lock($1) as "claimed!""#,
        LOCK
    );
    Ok(claimed.fetch_one(conn).await?)
}

/// Who left so long ago that their private things go.
pub async fn due(conn: &mut PgConnection, now: DateTime<Utc>) -> Result<Vec<MemberId>, Error> {
    let found = query_scalar!(
        r#"select id as "id: MemberId" from members where left_at <= $1 and gone_at is null order by left_at, id"#,
        until(now)
    );
    Ok(found.fetch_all(conn).await?)
}

/// Removes the private things and the name of who left long enough ago.
pub async fn forget(
    conn: &mut PgConnection,
    member: MemberId,
    now: DateTime<Utc>,
) -> Result<bool, Error> {
    let done = query_scalar!(
        r#"select forget_member($1, $2, $3) as "done!""#,
        member.0,
        until(now),
        now
    );
    let done = done.fetch_one(&mut *conn).await?;
    if done {
        mail::store::remove(conn, member).await?;
    }
    Ok(done)
}

/// Removes recipes that lay in the bin long enough and that nobody else built on; tells how many.
pub async fn empty_bins(conn: &mut PgConnection, now: DateTime<Utc>) -> Result<i64, Error> {
    let done = query_scalar!(r#"select empty_bins($1) as "gone!""#, until(now));
    Ok(done.fetch_one(conn).await?)
}

/// Removes batches that lay in the bin long enough, and the private ones of members who are gone; tells how many.
pub async fn empty_bins_of_batches(
    conn: &mut PgConnection,
    now: DateTime<Utc>,
) -> Result<i64, Error> {
    let done = query_scalar!(r#"select empty_bins_of_batches($1) as "gone!""#, until(now));
    Ok(done.fetch_one(conn).await?)
}

/// Gives the caller's transaction more time than a page has.
pub async fn take_time(conn: &mut PgConnection) -> Result<(), Error> {
    query!("select set_config('statement_timeout', '60s', true)")
        .fetch_one(conn)
        .await?;
    Ok(())
}

fn until(now: DateTime<Utc>) -> DateTime<Utc> {
    now - TimeDelta::days(KEPT_DAYS)
}
