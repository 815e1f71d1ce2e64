//! Rows of members, for a keeper.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::{Changed, Joined, RollEntry};
use crate::members::sessions::store::end_sessions;
use crate::web::Error;
use crate::web::viewer::{MemberId, Role};

/// The advisory lock under which keepers become fewer: two who step down at once must not leave none.
const ROLL_LOCK: i64 = 0x6d75_7374_0002;

/// All members, by name; those who were shut out come last.
pub async fn list_roll(conn: &mut PgConnection) -> Result<Vec<RollEntry>, Error> {
    read_roll(conn, None).await
}

/// One member.
pub async fn find_entry(
    conn: &mut PgConnection,
    public_id: &str,
) -> Result<Option<RollEntry>, Error> {
    Ok(read_roll(conn, Some(public_id)).await?.pop())
}

async fn read_roll(
    conn: &mut PgConnection,
    public_id: Option<&str>,
) -> Result<Vec<RollEntry>, Error> {
    let found = query_as!(
        RollEntry,
        r#"select m.id as "id: MemberId", m.public_id, m.name, m.role as "role: Role", m.created_at as joined_at,
                  (select max(s.seen_at) from sessions s where s.member_id = m.id) as seen_at,
                  m.disabled_at as shut_out_at, m.left_at,
                  exists (select from code_apps a where a.member_id = m.id)
                      or exists (select from passkeys p where p.member_id = m.id) as "has_second_step!"
           from members m
           where ($1::text is null or m.public_id = $1) and m.gone_at is null
           order by m.disabled_at is not null, m.name_key"#,
        public_id
    );
    Ok(found.fetch_all(conn).await?)
}

/// Who joined besides the viewer and may still come in, newest first, before a moment and an id.
pub async fn list_joined(
    conn: &mut PgConnection,
    viewer: MemberId,
    before: Option<(DateTime<Utc>, &str)>,
    limit: usize,
) -> Result<Vec<Joined>, Error> {
    let found = query_as!(
        Joined,
        r#"select created_at as at, public_id, name from members
           where id <> $1 and disabled_at is null
             and (created_at, public_id collate "C") < (coalesce($2, 'infinity'::timestamptz), coalesce($3, '~'))
           order by created_at desc, public_id collate "C" desc limit $4"#,
        viewer.0,
        before.map(|(at, _)| at),
        before.map(|(_, id)| id),
        limit.clamp(1, 100) as i64,
    );
    Ok(found.fetch_all(conn).await?)
}

/// Whether the club has a keeper who may come in besides this member.
async fn has_another_keeper(conn: &mut PgConnection, member: MemberId) -> Result<bool, Error> {
    let has = query_scalar!(
        r#"select exists (select from members
               where role = 'keeper' and disabled_at is null and id <> $1) as "has!""#,
        member.0
    );
    Ok(has.fetch_one(conn).await?)
}

/// The member, under the lock, and whether they may cease to be a keeper who comes in.
async fn lock(
    conn: &mut PgConnection,
    public_id: &str,
) -> Result<Option<(RollEntry, bool)>, Error> {
    query!("select pg_advisory_xact_lock($1)", ROLL_LOCK)
        .execute(&mut *conn)
        .await?;
    let Some(entry) = find_entry(conn, public_id).await? else {
        return Ok(None);
    };
    let keeps = entry.role == Role::Keeper && entry.shut_out_at.is_none();
    let may_go = !keeps || has_another_keeper(conn, entry.id).await?;
    Ok(Some((entry, may_go)))
}

/// Gives a member a role, within the caller's transaction.
pub async fn set_role(
    conn: &mut PgConnection,
    public_id: &str,
    role: Role,
) -> Result<Changed, Error> {
    let Some((entry, may_go)) = lock(conn, public_id).await? else {
        return Ok(Changed::NotFound);
    };
    if role != Role::Keeper && !may_go {
        return Ok(Changed::LastKeeper);
    }
    query!(
        "update members set role = $2 where id = $1",
        entry.id.0,
        role as Role
    )
    .execute(conn)
    .await?;
    Ok(Changed::Done)
}

/// Shuts a member out and ends their sessions, within the caller's transaction. What they shared stays.
pub async fn shut_out(conn: &mut PgConnection, public_id: &str) -> Result<Changed, Error> {
    let Some((entry, may_go)) = lock(conn, public_id).await? else {
        return Ok(Changed::NotFound);
    };
    if !may_go {
        return Ok(Changed::LastKeeper);
    }
    query!(
        "update members set disabled_at = coalesce(disabled_at, now()) where id = $1",
        entry.id.0
    )
    .execute(&mut *conn)
    .await?;
    end_sessions(conn, entry.id, None).await?;
    Ok(Changed::Done)
}

/// Lets a member in again.
pub async fn let_in(conn: &mut PgConnection, public_id: &str) -> Result<Changed, Error> {
    let done = query!(
        "update members set disabled_at = null, left_at = null where public_id = $1 and gone_at is null",
        public_id
    );
    Ok(match done.execute(conn).await?.rows_affected() {
        1 => Changed::Done,
        _ => Changed::NotFound,
    })
}
