//! Rows of one-time links.

use sqlx::{PgConnection, query, query_as, query_scalar};

use super::Renewal;
use crate::members::model::NewMember;
use crate::members::store::{create_member, has_keeper};
use crate::web::Error;
use crate::web::random;
use crate::web::viewer::MemberId;

/// How long the set-up link of the first keeper is good for, in hours.
pub const SET_UP_HOURS: i32 = 7 * 24;
/// How long a link for a new password is good for, in hours.
pub const RENEW_HOURS: i32 = 1;
/// The advisory lock under which the first keeper is made.
const SET_UP_LOCK: i64 = 0x6d75_7374_0001;

/// Makes the token of a one-time link: for a member's new password, or for the first keeper's set-up.
pub async fn make_link(conn: &mut PgConnection, member: Option<MemberId>) -> Result<String, Error> {
    let token = random::token()?;
    let hours = if member.is_some() {
        RENEW_HOURS
    } else {
        SET_UP_HOURS
    };
    query!(
        "insert into one_time_links (token_hash, member_id, expires_at)
         values ($1, $2, now() + make_interval(hours => $3))",
        &random::hash_of(&token)[..],
        member.map(|id| id.0),
        hours
    )
    .execute(conn)
    .await?;
    Ok(token)
}

/// Whether a link for the set-up of the first keeper is good. Looking uses nothing up: scanners of mail look too.
pub async fn is_set_up_link(conn: &mut PgConnection, token: &str) -> Result<bool, Error> {
    let good = query_scalar!(
        r#"select exists (select from one_time_links
               where token_hash = $1 and member_id is null and used_at is null and expires_at > now()) as "good!""#,
        &random::hash_of(token)[..]
    );
    Ok(good.fetch_one(&mut *conn).await? && !has_keeper(conn).await?)
}

/// The member whose password a good link renews.
pub async fn find_renewal(conn: &mut PgConnection, token: &str) -> Result<Option<Renewal>, Error> {
    let found = query_as!(
        Renewal,
        r#"select m.id as "id: MemberId", m.name, l.takes_second_step from one_time_links l join members m on m.id = l.member_id
           where l.token_hash = $1 and l.used_at is null and l.expires_at > now() and m.disabled_at is null"#,
        &random::hash_of(token)[..]
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Lets a link take the second step away too: whoever runs the server has seen to it that the right one asks.
pub async fn let_take_second_step(conn: &mut PgConnection, token: &str) -> Result<(), Error> {
    query!(
        "update one_time_links set takes_second_step = true where token_hash = $1",
        &random::hash_of(token)[..]
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Uses a link up; false when it was used, has expired or never was. Of many at once, one gets true.
pub async fn use_link(conn: &mut PgConnection, token: &str) -> Result<bool, Error> {
    let used = query!(
        "update one_time_links set used_at = now() where token_hash = $1 and used_at is null and expires_at > now()",
        &random::hash_of(token)[..]
    );
    Ok(used.execute(conn).await?.rows_affected() == 1)
}

/// Makes the first keeper within the caller's transaction and uses the link up: `None` when the link is no longer
/// good or there is a keeper already. One at a time, so that there is never a second first keeper.
pub async fn create_first_keeper(
    conn: &mut PgConnection,
    token: &str,
    new: &NewMember,
) -> Result<Option<MemberId>, Error> {
    query!("select pg_advisory_xact_lock($1)", SET_UP_LOCK)
        .execute(&mut *conn)
        .await?;
    if has_keeper(conn).await? || !use_link(conn, token).await? {
        return Ok(None);
    }
    query!("update one_time_links set used_at = now() where member_id is null and used_at is null")
        .execute(&mut *conn)
        .await?;
    create_member(conn, new).await
}

/// Deletes links that were used or ran out a day ago.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!(
        "delete from one_time_links where used_at < now() - interval '1 day' or expires_at < now() - interval '1 day'"
    )
    .execute(conn)
    .await?;
    Ok(())
}
