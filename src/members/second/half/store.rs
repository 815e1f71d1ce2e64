//! Rows of sign-ins that are half done.

use sqlx::{PgConnection, query, query_as};

use super::Half;
use crate::web::Error;
use crate::web::viewer::MemberId;

/// How long the second step may take, in minutes.
pub const MINUTES: i32 = 10;

/// Begins one under the hash of its token.
pub async fn begin(
    conn: &mut PgConnection,
    member: MemberId,
    token_hash: &[u8],
) -> Result<(), Error> {
    query!(
        "insert into half_sign_ins (token_hash, member_id, expires_at)
         values ($1, $2, now() + make_interval(mins => $3))",
        token_hash,
        member.0,
        MINUTES
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Whose it is, if it is still good.
pub async fn find(conn: &mut PgConnection, token_hash: &[u8]) -> Result<Option<Half>, Error> {
    let found = query_as!(
        Half,
        r#"select m.id as "id: MemberId", m.public_id, m.name, m.name_key
           from half_sign_ins h join members m on m.id = h.member_id
           where h.token_hash = $1 and h.expires_at > now() and m.disabled_at is null"#,
        token_hash
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Ends one; false when it is not good any more.
pub async fn end(conn: &mut PgConnection, token_hash: &[u8]) -> Result<bool, Error> {
    let ended = query!(
        "delete from half_sign_ins where token_hash = $1 and expires_at > now()",
        token_hash
    );
    Ok(ended.execute(conn).await?.rows_affected() == 1)
}

/// Ends all of a member.
pub async fn end_all(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!("delete from half_sign_ins where member_id = $1", member.0)
        .execute(conn)
        .await?;
    Ok(())
}

/// Deletes those that took too long.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!("delete from half_sign_ins where expires_at < now()")
        .execute(conn)
        .await?;
    Ok(())
}
