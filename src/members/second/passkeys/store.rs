//! Rows of passkeys, and of what was asked of devices.

use sqlx::{PgConnection, query, query_as, query_scalar};

use super::{Owned, PasskeyEntry};
use crate::members::second::store::forget_taken;
use crate::web::viewer::MemberId;
use crate::web::{Error, random};

/// The most passkeys of one member.
pub const MOST: i64 = 10;
/// How long a device may take to answer, in minutes.
pub const MINUTES: i32 = 5;

/// Notes what is asked of a device; the token to answer with. Without a member, somebody signs in.
pub async fn begin_ceremony(
    conn: &mut PgConnection,
    member: Option<MemberId>,
    state: &serde_json::Value,
) -> Result<String, Error> {
    let token = random::token()?;
    // Anybody may begin: what nobody ended in time does not wait for the hourly sweep.
    forget_old(conn).await?;
    query!(
        "insert into passkey_ceremonies (token_hash, member_id, state, expires_at)
         values ($1, $2, $3, now() + make_interval(mins => $4))",
        &random::hash_of(&token)[..],
        member.map(|id| id.0),
        state,
        MINUTES
    )
    .execute(conn)
    .await?;
    Ok(token)
}

/// Takes what was asked of the device of this member, or of somebody who signs in; none when it was taken before or is
/// too old. Of many at once, one gets it.
pub async fn take_ceremony(
    conn: &mut PgConnection,
    member: Option<MemberId>,
    token: &str,
) -> Result<Option<serde_json::Value>, Error> {
    let taken = query_scalar!(
        "delete from passkey_ceremonies
         where token_hash = $1 and member_id is not distinct from $2 and expires_at > now() returning state",
        &random::hash_of(token)[..],
        member.map(|id| id.0)
    );
    Ok(taken.fetch_optional(conn).await?)
}

/// A passkey to be kept.
pub struct NewPasskey<'a> {
    pub credential_id: &'a [u8],
    pub credential: &'a serde_json::Value,
    pub host: &'a str,
    pub name: &'a str,
}

/// Keeps a new passkey; false when it is known already or there are too many.
pub async fn keep(
    conn: &mut PgConnection,
    member: MemberId,
    new: &NewPasskey<'_>,
) -> Result<bool, Error> {
    let kept = query!(
        "insert into passkeys (public_id, member_id, credential_id, credential, host, name)
         select $1, $2, $3, $4, $5, $6
         where (select count(*) from passkeys where member_id = $2) < $7
         on conflict on constraint passkeys_credential_id_key do nothing",
        random::public_id()?,
        member.0,
        new.credential_id,
        new.credential,
        new.host,
        new.name,
        MOST
    );
    let kept = kept.execute(&mut *conn).await?.rows_affected() == 1;
    if kept {
        forget_taken(conn, member).await?;
    }
    Ok(kept)
}

/// A member's passkeys, the newest last.
pub async fn list(conn: &mut PgConnection, member: MemberId) -> Result<Vec<PasskeyEntry>, Error> {
    let found = query_as!(
        PasskeyEntry,
        "select public_id, name, host, made_at, used_at, credential_id from passkeys where member_id = $1 order by id",
        member.0
    );
    Ok(found.fetch_all(conn).await?)
}

/// The passkey of a credential with whose it is. That of a member who was shut out looks like none.
pub async fn find_owned(
    conn: &mut PgConnection,
    credential_id: &[u8],
) -> Result<Option<Owned>, Error> {
    let found = query_as!(
        Owned,
        r#"select p.id as passkey, p.credential, m.id as "id: MemberId", m.public_id, m.name
           from passkeys p join members m on m.id = p.member_id
           where p.credential_id = $1 and m.disabled_at is null"#,
        credential_id
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Notes that a passkey was used, with its counter as it is now.
pub async fn touch(
    conn: &mut PgConnection,
    passkey: i64,
    credential: &serde_json::Value,
) -> Result<(), Error> {
    query!(
        "update passkeys set used_at = now(), credential = $2 where id = $1",
        passkey,
        credential
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Gives a member's passkey another name; false when they have none of that id.
pub async fn rename(
    conn: &mut PgConnection,
    member: MemberId,
    public_id: &str,
    name: &str,
) -> Result<bool, Error> {
    let named = query!(
        "update passkeys set name = $3 where member_id = $1 and public_id = $2",
        member.0,
        public_id,
        name
    );
    Ok(named.execute(conn).await?.rows_affected() == 1)
}

/// Removes a member's passkey; false when they have none of that id.
pub async fn remove(
    conn: &mut PgConnection,
    member: MemberId,
    public_id: &str,
) -> Result<bool, Error> {
    let removed = query!(
        "delete from passkeys where member_id = $1 and public_id = $2",
        member.0,
        public_id
    );
    Ok(removed.execute(conn).await?.rows_affected() == 1)
}

/// Removes all of a member; false when there were none.
pub async fn remove_all(conn: &mut PgConnection, member: MemberId) -> Result<bool, Error> {
    let removed = query!("delete from passkeys where member_id = $1", member.0);
    Ok(removed.execute(conn).await?.rows_affected() > 0)
}

/// How many passkeys were made for another address than this host's, and so work no more.
pub async fn count_elsewhere(conn: &mut PgConnection, host: &str) -> Result<i64, Error> {
    let counted = query_scalar!(
        r#"select count(*) as "count!" from passkeys where host <> $1"#,
        host
    );
    Ok(counted.fetch_one(conn).await?)
}

/// Deletes what was asked and not answered in time.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!("delete from passkey_ceremonies where expires_at < now()")
        .execute(conn)
        .await?;
    Ok(())
}
