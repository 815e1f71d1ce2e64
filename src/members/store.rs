//! Rows of members, their sessions and the one-time links.

use sqlx::{PgConnection, PgPool, query, query_as, query_scalar};

use super::model::{Credentials, NewMember, SessionRow};
use crate::web::Error;
use crate::web::random;
use crate::web::units::Units;
use crate::web::viewer::{Member, MemberId, Role, Settings};

/// The most sessions of one member; the one longest unused ends when another begins.
pub const MAX_SESSIONS: i64 = 20;
/// How long the set-up link of the first keeper is good for, in hours.
pub const SET_UP_HOURS: i32 = 7 * 24;
/// How long a link for a new password is good for, in hours.
pub const RENEW_HOURS: i32 = 1;
/// The advisory lock under which the first keeper is made.
const SET_UP_LOCK: i64 = 0x6d75_7374_0001;

/// Whether the database answers.
pub async fn is_there(pool: &PgPool) -> bool {
    query_scalar!("select 1").fetch_one(pool).await.is_ok()
}

/// Makes a member; `None` when the name, or one that looks like it, is taken.
pub async fn create_member(
    conn: &mut PgConnection,
    new: &NewMember,
) -> Result<Option<MemberId>, Error> {
    let public_id = random::public_id()?;
    let settings = &new.settings;
    let made = query_scalar!(
        r#"insert into members (public_id, name, name_key, password_hash, role, units, theme, zone, sachet_g, password_changed_at)
           values ($1, $2, $3, $4, $5, $6, $7, $8, $9::float8, case when $4::text is null then null else now() end)
           on conflict on constraint members_name_key do nothing
           returning id as "id: MemberId""#,
        public_id,
        new.name.shown(),
        new.name.key(),
        new.password_hash.as_deref(),
        new.role as Role,
        settings.units as Units,
        settings.theme.as_str(),
        settings.zone.name(),
        settings.sachet_g,
    );
    Ok(made.fetch_optional(conn).await?)
}

/// The member behind a session's token, if the session is alive by the database's clock: used within 14 days, or
/// within 12 hours for a keeper, and no older than 30 days.
pub async fn find_session(
    conn: &mut PgConnection,
    token_hash: &[u8],
) -> Result<Option<(Member, bool)>, Error> {
    let row = query_as!(
        SessionRow,
        r#"select s.id as session, m.id as "id: MemberId", m.public_id, m.name, m.role as "role: Role",
                  m.units as "units: Units", m.theme, m.zone, m.sachet_g::float8 as "sachet_g!",
                  s.seen_at < now() - interval '5 minutes' as "stale!"
           from sessions s join members m on m.id = s.member_id
           where s.token_hash = $1 and s.ended_at is null and m.disabled_at is null
             and s.created_at > now() - interval '30 days'
             and s.seen_at > now() - case m.role when 'keeper' then interval '12 hours' else interval '14 days' end"#,
        token_hash
    );
    let row = row.fetch_optional(conn).await?;
    Ok(row.map(|row| {
        let stale = row.stale;
        (Member::from(row), stale)
    }))
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

/// Notes that a session was used.
pub async fn touch_session(conn: &mut PgConnection, session: i64) -> Result<(), Error> {
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

/// Ends all sessions of a member but `kept`; tells how many there were.
pub async fn end_sessions(
    conn: &mut PgConnection,
    member: MemberId,
    kept: Option<i64>,
) -> Result<u64, Error> {
    let ended = query!(
        "update sessions set ended_at = now()
         where member_id = $1 and ended_at is null and id is distinct from $2",
        member.0,
        kept
    );
    Ok(ended.execute(conn).await?.rows_affected())
}

/// How many other sessions of the member could still be used.
pub async fn count_other_sessions(conn: &mut PgConnection, member: &Member) -> Result<i64, Error> {
    let count = query_scalar!(
        r#"select count(*) as "count!" from sessions
           where member_id = $1 and id <> $2 and ended_at is null and created_at > now() - interval '30 days'
             and seen_at > now() - case $3 when 'keeper' then interval '12 hours' else interval '14 days' end"#,
        member.id.0,
        member.session,
        member.role.as_str()
    );
    Ok(count.fetch_one(conn).await?)
}

/// What a sign-in under this name has to match. A member who was shut out looks like none.
pub async fn find_credentials(
    conn: &mut PgConnection,
    name_key: &str,
) -> Result<Option<Credentials>, Error> {
    let found = query_as!(
        Credentials,
        r#"select id as "id: MemberId", public_id, name, password_hash from members
           where name_key = $1 and disabled_at is null"#,
        name_key
    );
    Ok(found.fetch_optional(conn).await?)
}

/// The hash of a member's password.
pub async fn password_hash(
    conn: &mut PgConnection,
    member: MemberId,
) -> Result<Option<String>, Error> {
    let found = query_scalar!(
        "select password_hash from members where id = $1 and disabled_at is null",
        member.0
    );
    Ok(found.fetch_optional(conn).await?.flatten())
}

/// Puts a stronger hash of the same password in place of `old`.
pub async fn renew_hash(
    conn: &mut PgConnection,
    member: MemberId,
    old: &str,
    new: &str,
) -> Result<(), Error> {
    query!(
        "update members set password_hash = $3 where id = $1 and password_hash = $2",
        member.0,
        old,
        new
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Sets a new password.
pub async fn set_password(
    conn: &mut PgConnection,
    member: MemberId,
    hash: &str,
) -> Result<(), Error> {
    query!(
        "update members set password_hash = $2, password_changed_at = now() where id = $1",
        member.0,
        hash
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Saves how pages speak to a member.
pub async fn save_settings(
    conn: &mut PgConnection,
    member: MemberId,
    settings: &Settings,
) -> Result<(), Error> {
    query!(
        "update members set units = $2, theme = $3, zone = $4, sachet_g = $5::float8 where id = $1",
        member.0,
        settings.units as Units,
        settings.theme.as_str(),
        settings.zone.name(),
        settings.sachet_g
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Whether the club has a keeper who may come in.
pub async fn has_keeper(conn: &mut PgConnection) -> Result<bool, Error> {
    let has = query_scalar!(
        r#"select exists (select from members where role = 'keeper' and disabled_at is null) as "has!""#
    );
    Ok(has.fetch_one(conn).await?)
}

/// A keeper's key and name, the first of them: whose password `keeper-link` renews when no name is given.
pub async fn find_keeper(
    conn: &mut PgConnection,
    name_key: Option<&str>,
) -> Result<Option<(MemberId, String)>, Error> {
    let found = query!(
        r#"select id as "id: MemberId", name from members
           where role = 'keeper' and disabled_at is null and ($1::text is null or name_key = $1)
           order by id limit 1"#,
        name_key
    );
    Ok(found
        .fetch_optional(conn)
        .await?
        .map(|row| (row.id, row.name)))
}

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
pub async fn find_renewal(
    conn: &mut PgConnection,
    token: &str,
) -> Result<Option<(MemberId, String)>, Error> {
    let found = query!(
        r#"select m.id as "id: MemberId", m.name from one_time_links l join members m on m.id = l.member_id
           where l.token_hash = $1 and l.used_at is null and l.expires_at > now() and m.disabled_at is null"#,
        &random::hash_of(token)[..]
    );
    Ok(found
        .fetch_optional(conn)
        .await?
        .map(|row| (row.id, row.name)))
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

/// Deletes what no longer matters: ended and expired sessions, used and expired links, tries of long ago.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!(
        "delete from sessions where ended_at < now() - interval '1 day' or created_at < now() - interval '31 days'"
    )
    .execute(&mut *conn)
    .await?;
    query!("delete from one_time_links where used_at < now() - interval '1 day' or expires_at < now() - interval '1 day'")
        .execute(&mut *conn)
        .await?;
    query!(
        "delete from sign_in_tries where last_at < now() - interval '2 days'
         and (succeeded_at is null or succeeded_at < now() - interval '90 days')"
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Counts a try for a subject and slows the next one by `delay` of the count, unless tries are refused right now:
/// then nothing is counted and the seconds to wait come back. One statement, so that tries at once are counted all.
pub(super) async fn count_try(
    conn: &mut PgConnection,
    subject: &[u8],
    free: i32,
    most_seconds: i32,
) -> Result<Result<(), i32>, Error> {
    let counted = query_scalar!(
        r#"insert into sign_in_tries as t (subject, failures) values ($1, 1)
           on conflict (subject) do update set
               failures = case when t.last_at < now() - interval '1 day' then 1 else t.failures + 1 end,
               last_at = now(),
               blocked_until = case
                   when t.last_at < now() - interval '1 day' or t.failures + 1 < $2::int then now()
                   else now() + least($3::int, power(2, least(t.failures + 1 - $2, 20))::int) * interval '1 second' end
           where t.blocked_until <= now()
           returning failures"#,
        subject,
        free,
        most_seconds
    );
    if counted.fetch_optional(&mut *conn).await?.is_some() {
        return Ok(Ok(()));
    }
    let left = query_scalar!(
        r#"select ceil(extract(epoch from blocked_until - now()))::int as "left!" from sign_in_tries where subject = $1"#,
        subject
    );
    Ok(Err(left.fetch_optional(conn).await?.unwrap_or(1).max(1)))
}

/// Whether a subject has come in before.
pub(super) async fn has_succeeded(conn: &mut PgConnection, subject: &[u8]) -> Result<bool, Error> {
    let has = query_scalar!(
        r#"select exists (select from sign_in_tries where subject = $1 and succeeded_at is not null) as "has!""#,
        subject
    );
    Ok(has.fetch_one(conn).await?)
}

/// Takes tries back after the right password: all of a subject, or the last one.
pub(super) async fn forgive_tries(
    conn: &mut PgConnection,
    subject: &[u8],
    all: bool,
) -> Result<(), Error> {
    query!(
        "update sign_in_tries set succeeded_at = case when $2 then now() else succeeded_at end, blocked_until = now(),
             failures = case when $2 then 0 else greatest(failures - 1, 0) end
         where subject = $1",
        subject,
        all
    )
    .execute(conn)
    .await?;
    Ok(())
}
