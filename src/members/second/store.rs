//! Rows of what members have for the second step.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::recovery::NewCode;
use super::{Means, Taken, half, passkeys};
use crate::web::Error;
use crate::web::viewer::MemberId;

/// For how long a key that was shown waits for its first code, in minutes.
pub const BEGUN_MINUTES: i32 = 30;

/// What a member has.
pub async fn find_means(conn: &mut PgConnection, member: MemberId) -> Result<Means, Error> {
    let found = query_as!(
        Means,
        r#"select (select set_up_at from code_apps where member_id = $1) as app_since,
                  (select count(*) from passkeys where member_id = $1) as "passkeys!",
                  (select count(*) from recovery_codes where member_id = $1 and used_at is null) as "recovery_codes!""#,
        member.0
    );
    Ok(found.fetch_one(conn).await?)
}

/// Waits until nobody else changes what this member has: two changes at once come one after the other.
pub async fn lock(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!("select id from members where id = $1 for update", member.0)
        .fetch_optional(conn)
        .await?;
    Ok(())
}

/// Notes the key that is being shown; an earlier one counts no more.
pub async fn begin_app(
    conn: &mut PgConnection,
    member: MemberId,
    secret: &[u8],
) -> Result<(), Error> {
    query!(
        "insert into code_apps_begun (member_id, secret, expires_at)
         values ($1, $2, now() + make_interval(mins => $3))
         on conflict on constraint code_apps_begun_pkey
         do update set secret = excluded.secret, expires_at = excluded.expires_at",
        member.0,
        secret,
        BEGUN_MINUTES
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The key that is being shown.
pub async fn find_begun(
    conn: &mut PgConnection,
    member: MemberId,
) -> Result<Option<Vec<u8>>, Error> {
    let found = query_scalar!(
        "select secret from code_apps_begun where member_id = $1 and expires_at > now()",
        member.0
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Takes the key that was shown into use, its first code being that of `step`; false when it is shown no more.
pub async fn confirm_app(
    conn: &mut PgConnection,
    member: MemberId,
    secret: &[u8],
    step: i64,
) -> Result<bool, Error> {
    let begun = query!(
        "delete from code_apps_begun where member_id = $1 and secret = $2 and expires_at > now()",
        member.0,
        secret
    );
    if begun.execute(&mut *conn).await?.rows_affected() == 0 {
        return Ok(false);
    }
    query!(
        "insert into code_apps (member_id, secret, last_step) values ($1, $2, $3)
         on conflict on constraint code_apps_pkey
         do update set secret = excluded.secret, last_step = excluded.last_step, set_up_at = now()",
        member.0,
        secret,
        step
    )
    .execute(&mut *conn)
    .await?;
    forget_taken(conn, member).await?;
    Ok(true)
}

/// The key of a member's app.
pub async fn find_app(conn: &mut PgConnection, member: MemberId) -> Result<Option<Vec<u8>>, Error> {
    let found = query_scalar!(
        "select secret from code_apps where member_id = $1",
        member.0
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Uses the code of a step up; false when it, or a later one, was used before. Of many at once, one gets true.
pub async fn use_step(conn: &mut PgConnection, member: MemberId, step: i64) -> Result<bool, Error> {
    let used = query!(
        "update code_apps set last_step = $2 where member_id = $1 and last_step < $2",
        member.0,
        step
    );
    Ok(used.execute(conn).await?.rows_affected() == 1)
}

/// Removes the app; false when there is none.
pub async fn remove_app(conn: &mut PgConnection, member: MemberId) -> Result<bool, Error> {
    let removed = query!("delete from code_apps where member_id = $1", member.0);
    Ok(removed.execute(conn).await?.rows_affected() == 1)
}

/// Puts ten new recovery codes in place of whatever there was.
pub async fn renew_recovery_codes(
    conn: &mut PgConnection,
    member: MemberId,
    codes: &[NewCode],
) -> Result<(), Error> {
    for code in codes {
        query!(
            "insert into recovery_codes (member_id, number, hash) values ($1, $2, $3)
             on conflict on constraint recovery_codes_pkey do update set hash = excluded.hash, used_at = null",
            member.0,
            code.number,
            code.hash
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// The hash of an unused recovery code.
pub async fn find_recovery_code(
    conn: &mut PgConnection,
    member: MemberId,
    number: i16,
) -> Result<Option<String>, Error> {
    let found = query_scalar!(
        "select hash from recovery_codes where member_id = $1 and number = $2 and used_at is null",
        member.0,
        number
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Uses a recovery code up; false when it was used before or made anew. Of many at once, one gets true.
pub async fn use_recovery_code(
    conn: &mut PgConnection,
    member: MemberId,
    number: i16,
    hash: &str,
) -> Result<bool, Error> {
    let used = query!(
        "update recovery_codes set used_at = now()
         where member_id = $1 and number = $2 and hash = $3 and used_at is null",
        member.0,
        number,
        hash
    );
    Ok(used.execute(conn).await?.rows_affected() == 1)
}

/// Removes the recovery codes: they stand for a second step and not for themselves.
pub async fn remove_recovery_codes(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!("delete from recovery_codes where member_id = $1", member.0)
        .execute(conn)
        .await?;
    Ok(())
}

/// Removes everything that a member has for the second step; false when there was nothing.
pub async fn remove_all(conn: &mut PgConnection, member: MemberId) -> Result<bool, Error> {
    let had_app = remove_app(conn, member).await?;
    let had_passkeys = passkeys::store::remove_all(conn, member).await?;
    query!("delete from code_apps_begun where member_id = $1", member.0)
        .execute(&mut *conn)
        .await?;
    remove_recovery_codes(conn, member).await?;
    Ok(had_app || had_passkeys)
}

/// Takes the second step away from a member, within the caller's transaction, and notes it for them; false when they
/// have none. `by` is the keeper who does it; none is the server's command line.
pub async fn take_away(
    conn: &mut PgConnection,
    member: MemberId,
    by: Option<MemberId>,
) -> Result<bool, Error> {
    lock(conn, member).await?;
    if !remove_all(conn, member).await? {
        return Ok(false);
    }
    query!(
        "insert into second_steps_taken (member_id, taken_by, by_keeper) values ($1, $2, $3)
         on conflict on constraint second_steps_taken_pkey do update
         set taken_by = excluded.taken_by, by_keeper = excluded.by_keeper, taken_at = now(), told_at = null",
        member.0,
        by.map(|keeper| keeper.0),
        by.is_some()
    )
    .execute(conn)
    .await?;
    Ok(true)
}

/// That a member's second step was taken away, as long as they have no other.
pub async fn find_taken(conn: &mut PgConnection, member: MemberId) -> Result<Option<Taken>, Error> {
    let found = query_as!(
        Taken,
        r#"select t.taken_at as "at: DateTime<Utc>", t.by_keeper, k.name as "by?"
           from second_steps_taken t left join members k on k.id = t.taken_by where t.member_id = $1"#,
        member.0
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Whether a member is to be told now that their second step was taken away: once.
pub async fn tell_taken(conn: &mut PgConnection, member: MemberId) -> Result<bool, Error> {
    let told = query!(
        "update second_steps_taken set told_at = now() where member_id = $1 and told_at is null",
        member.0
    );
    Ok(told.execute(conn).await?.rows_affected() == 1)
}

/// Forgets that a second step was taken away: there is another.
pub async fn forget_taken(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!(
        "delete from second_steps_taken where member_id = $1",
        member.0
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Deletes what was begun and not ended in time.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!("delete from code_apps_begun where expires_at < now()")
        .execute(&mut *conn)
        .await?;
    passkeys::store::forget_old(conn).await?;
    half::store::forget_old(conn).await
}
