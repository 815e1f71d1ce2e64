//! Rows of counted tries.

use sqlx::{PgConnection, query, query_scalar};

use crate::web::Error;

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

/// Deletes tries of days ago, and who came in from where after three months.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!(
        "delete from sign_in_tries where last_at < now() - interval '2 days'
         and (succeeded_at is null or succeeded_at < now() - interval '90 days')"
    )
    .execute(conn)
    .await?;
    Ok(())
}
