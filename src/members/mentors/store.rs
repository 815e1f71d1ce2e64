//! Rows of members, as far as they say who may be asked.

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::{PgConnection, query, query_scalar};

use super::NEW_DAYS;
use crate::web::Error;
use crate::web::viewer::MemberId;

/// Who came in after this moment is a newcomer.
fn since(now: DateTime<Utc>) -> DateTime<Utc> {
    now - TimeDelta::days(NEW_DAYS)
}

/// Gives each newcomer, who is no keeper, who has nobody to ask, or somebody who no longer offers it, one of those who do: whoever has the
/// fewest newcomers. `only` looks at one newcomer.
pub async fn place_newcomers(
    conn: &mut PgConnection,
    only: Option<MemberId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    // One after the other, so that each counts for the next.
    loop {
        let placed = query!(
            "update members n set mentor_id = (
                 select m.id from members m
                 where m.newcomers_may_ask and m.disabled_at is null and m.id <> n.id
                 order by (select count(*) from members x
                           where x.mentor_id = m.id and x.created_at > $1 and x.disabled_at is null), m.id
                 limit 1)
             where n.id = (
                 select c.id from members c left join members old on old.id = c.mentor_id
                 where c.created_at > $1 and c.role <> 'keeper' and c.disabled_at is null and ($2::bigint is null or c.id = $2)
                   and (old.id is null or not old.newcomers_may_ask or old.disabled_at is not null)
                   and exists (select from members m
                               where m.newcomers_may_ask and m.disabled_at is null and m.id <> c.id)
                 order by c.id limit 1)",
            since(now),
            only.map(|member| member.0)
        );
        if placed.execute(&mut *conn).await?.rows_affected() == 0 {
            return Ok(());
        }
    }
}

/// The name of whom a newcomer may ask: their mentor, else the keeper who made their invite. None for keepers and for who is here longer.
pub async fn whom_to_ask(
    conn: &mut PgConnection,
    member: MemberId,
    now: DateTime<Utc>,
) -> Result<Option<String>, Error> {
    let found = query_scalar!(
        r#"select coalesce(mentor.name, maker.name) as "name"
           from members me
           left join members mentor
               on mentor.id = me.mentor_id and mentor.newcomers_may_ask and mentor.disabled_at is null
           left join invites i on i.id = me.invite_id
           left join members maker on maker.id = i.made_by and maker.disabled_at is null
           where me.id = $1 and me.created_at > $2 and me.role <> 'keeper'"#,
        member.0,
        since(now)
    );
    Ok(found.fetch_optional(conn).await?.flatten())
}

/// Whether a member offers to be asked.
pub async fn may_be_asked(conn: &mut PgConnection, member: MemberId) -> Result<bool, Error> {
    let found = query_scalar!(
        "select newcomers_may_ask from members where id = $1",
        member.0
    );
    Ok(found.fetch_one(conn).await?)
}

/// Notes whether a member offers to be asked, within the caller's transaction.
pub async fn offer(
    conn: &mut PgConnection,
    member: MemberId,
    offers: bool,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    query!(
        "update members set newcomers_may_ask = $2 where id = $1",
        member.0,
        offers
    )
    .execute(&mut *conn)
    .await?;
    place_newcomers(conn, None, now).await
}

/// Who offers to be asked: public id and name, by name.
pub async fn list_mentors(conn: &mut PgConnection) -> Result<Vec<(String, String)>, Error> {
    let found = query!(
        "select public_id, name from members where newcomers_may_ask and disabled_at is null order by name_key"
    );
    let rows = found.fetch_all(conn).await?.into_iter();
    Ok(rows.map(|row| (row.public_id, row.name)).collect())
}

/// Newcomers with their mentors, both by public id; no mentor is an empty text.
pub async fn list_newcomers(
    conn: &mut PgConnection,
    now: DateTime<Utc>,
) -> Result<Vec<(String, String)>, Error> {
    let found = query!(
        r#"select n.public_id, coalesce(m.public_id, '') as "mentor!"
           from members n left join members m
               on m.id = n.mentor_id and m.newcomers_may_ask and m.disabled_at is null
           where n.created_at > $1 and n.role <> 'keeper' and n.disabled_at is null"#,
        since(now)
    );
    let rows = found.fetch_all(conn).await?.into_iter();
    Ok(rows.map(|row| (row.public_id, row.mentor)).collect())
}

/// Gives a newcomer another mentor; false when either is none.
pub async fn set_mentor(
    conn: &mut PgConnection,
    newcomer: &str,
    mentor: &str,
    now: DateTime<Utc>,
) -> Result<bool, Error> {
    let done = query!(
        "update members n set mentor_id = m.id from members m
         where n.public_id = $1 and n.created_at > $3 and n.role <> 'keeper' and n.disabled_at is null
           and m.public_id = $2 and m.newcomers_may_ask and m.disabled_at is null and m.id <> n.id",
        newcomer,
        mentor,
        since(now)
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}
