//! Rows of sessions.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::{Found, OpenSession, SessionRow};
use crate::members::second::half;
use crate::members::tokens::store::end_all;
use crate::web::Error;
use crate::web::units::Units;
use crate::web::viewer::{CatalogueState, Member, MemberId, Role};

/// The most sessions of one member; the one longest unused ends when another begins.
pub const MAX_SESSIONS: i64 = 20;

/// The member behind a session's token, if the session is alive by the database's clock: used within 14 days, or
/// within 12 hours for a keeper, and no older than 30 days.
pub async fn find_session(
    conn: &mut PgConnection,
    token_hash: &[u8],
) -> Result<Option<Found>, Error> {
    // The catalogue's state is what `catalogue::own::store::state` reads, in the same words.
    let row = query_as!(
        SessionRow,
        r#"select s.id as session, m.id as "id: MemberId", m.public_id, m.name, m.role as "role: Role",
                  m.units as "units: Units", m.theme, m.zone, m.sachet_g::float8 as "sachet_g!",
                  m.powder_step_g::float8 as "powder_step_g!", m.honey_step_g::float8 as "honey_step_g!",
                  s.seen_at < now() - interval '5 minutes' as "stale!",
                  s.proved_at > now() - interval '15 minutes' as "is_proven!",
                  exists (select from code_apps a where a.member_id = m.id)
                      or exists (select from passkeys p where p.member_id = m.id) as "has_second_step!",
                  book_closed(m.id) as "book_closed!",
                  concat_ws(' ', (select count(*) from catalogue_entry_revisions),
                      (select coalesce(max(id), 0) from catalogue_entry_revisions), (select count(*) from honey_jar_entries),
                      (select coalesce(max(id), 0) from honey_jar_entries)) as "catalogue: CatalogueState",
                  coalesce((select version from club), 0) as club_version
           from sessions s join members m on m.id = s.member_id
           where s.token_hash = $1 and s.ended_at is null and m.disabled_at is null
             and s.created_at > now() - interval '30 days'
             and s.seen_at > now() - case m.role when 'keeper' then interval '12 hours' else interval '14 days' end"#,
        token_hash
    );
    let row = row.fetch_optional(conn).await?;
    Ok(row.map(Found::from))
}

/// The public id of the member of a session, whether or not it is alive.
pub async fn find_former(
    conn: &mut PgConnection,
    token_hash: &[u8],
) -> Result<Option<String>, Error> {
    let found = query_scalar!(
        "select m.public_id from sessions s join members m on m.id = s.member_id where s.token_hash = $1",
        token_hash
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Notes when the member was last here, if they come back after an hour or more.
async fn note_return(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!(
        "update members set away_since = seen.at
         from (select max(seen_at) as at from sessions where member_id = $1) as seen
         where id = $1 and seen.at < now() - interval '1 hour'",
        member.0
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// When the member's last visit before this one ended, as far as their sessions tell.
pub async fn away_since(
    conn: &mut PgConnection,
    member: MemberId,
) -> Result<Option<DateTime<Utc>>, Error> {
    let found = query_scalar!("select away_since from members where id = $1", member.0);
    Ok(found.fetch_one(conn).await?)
}

/// Notes that a session was used.
pub async fn touch_session(
    conn: &mut PgConnection,
    member: MemberId,
    session: i64,
) -> Result<(), Error> {
    note_return(conn, member).await?;
    query!(
        "update sessions set seen_at = now() where id = $1 and seen_at < now()",
        session
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Begins a session: stores the token's hash, ends the sessions beyond the most.
pub async fn begin_session(
    conn: &mut PgConnection,
    member: MemberId,
    token_hash: &[u8],
) -> Result<(), Error> {
    note_return(conn, member).await?;
    query!(
        "insert into sessions (token_hash, member_id) values ($1, $2)",
        token_hash,
        member.0
    )
    .execute(&mut *conn)
    .await?;
    query!(
        "update sessions set ended_at = now() where id in (
             select id from sessions where member_id = $1 and ended_at is null order by seen_at desc, id desc offset $2)",
        member.0,
        MAX_SESSIONS
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Notes that whoever holds a member's sessions has not just proved everything that a sign-in asks for.
pub async fn forget_proof(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!(
        "update sessions set proved_at = now() - interval '1 day' where member_id = $1 and ended_at is null",
        member.0
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends the session of a token; it need not be alive.
pub async fn end_session(conn: &mut PgConnection, token_hash: &[u8]) -> Result<(), Error> {
    query!(
        "update sessions set ended_at = now() where token_hash = $1 and ended_at is null",
        token_hash
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends all sessions of a member but `kept`, and sign-ins that are half done; tells how many sessions there were. When
/// none is kept the tokens end too: the password was changed, the second step was taken away, or the member is shut out
/// or leaves.
pub async fn end_sessions(
    conn: &mut PgConnection,
    member: MemberId,
    kept: Option<i64>,
) -> Result<u64, Error> {
    half::store::end_all(conn, member).await?;
    if kept.is_none() {
        end_all(conn, member).await?;
    }
    let ended = query!(
        "update sessions set ended_at = now()
         where member_id = $1 and ended_at is null and id is distinct from $2",
        member.0,
        kept
    );
    Ok(ended.execute(conn).await?.rows_affected())
}

/// The member's sessions that could still be used, the one used last first.
pub async fn list_sessions(
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<OpenSession>, Error> {
    let found = query_as!(
        OpenSession,
        r#"select public_id, created_at, seen_at, id = $2 as "is_this!" from sessions
           where member_id = $1 and ended_at is null and created_at > now() - interval '30 days'
             and seen_at > now() - case $3 when 'keeper' then interval '12 hours' else interval '14 days' end
           order by seen_at desc, id desc"#,
        member.id.0,
        member.session,
        member.role.as_str()
    );
    Ok(found.fetch_all(conn).await?)
}

/// Ends one session of a member; false when they have none of that name.
pub async fn end_named(
    conn: &mut PgConnection,
    member: MemberId,
    public_id: &str,
) -> Result<bool, Error> {
    let ended = query!(
        "update sessions set ended_at = coalesce(ended_at, now()) where member_id = $1 and public_id = $2",
        member.0,
        public_id
    );
    Ok(ended.execute(conn).await?.rows_affected() == 1)
}

/// Deletes sessions that ended a day ago, or that are too old to be alive.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!(
        "delete from sessions where ended_at < now() - interval '1 day' or created_at < now() - interval '31 days'"
    )
    .execute(conn)
    .await?;
    Ok(())
}
