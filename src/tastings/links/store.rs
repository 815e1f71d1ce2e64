//! Rows of guests' links. The token is random; what is kept is its hash.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::{GOOD_MAX, Link};
use crate::recipes::public_id::PublicId;
use crate::tastings::model::{Kind, TastingId};
use crate::web::viewer::MemberId;
use crate::web::{Error, random};

/// What a good link leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct Invited {
    pub tasting: TastingId,
    pub public_id: PublicId,
    pub title: String,
    pub host_name: String,
    pub kind: Kind,
}

/// Makes a link; its token is told here alone. `None` when the tasting is over, or has as many as it may.
pub async fn make(
    conn: &mut PgConnection,
    tasting: TastingId,
    note: &str,
    days: i32,
) -> Result<Option<String>, Error> {
    let (public_id, token) = (random::public_id()?, random::token()?);
    let made = query!(
        "insert into tasting_links (public_id, tasting_id, token_hash, note, expires_at)
         select $1, t.id, $3, $4, now() + make_interval(days => $5) from tastings t
         where t.id = $2 and t.closed_at is null and (select count(*) from tasting_links l where l.tasting_id = t.id
             and l.used_at is null and l.ended_at is null and l.expires_at > now()) < $6
         for update of t",
        public_id,
        tasting.0,
        &random::hash_of(&token)[..],
        note,
        days,
        GOOD_MAX
    );
    let made = made.execute(conn).await?.rows_affected() == 1;
    Ok(made.then_some(token))
}

/// The links of a tasting, the newest first.
pub async fn list(conn: &mut PgConnection, tasting: TastingId) -> Result<Vec<Link>, sqlx::Error> {
    query_as!(
        Link,
        r#"select l.public_id, l.note, l.expires_at, l.used_at is not null as "is_used!",
               (l.used_at is null and l.ended_at is null and l.expires_at > now()) as "is_good!"
           from tasting_links l where l.tasting_id = $1 order by l.id desc limit 200"#,
        tasting.0
    )
    .fetch_all(conn)
    .await
}

/// Takes a link back that nobody used.
pub async fn end(
    conn: &mut PgConnection,
    tasting: TastingId,
    link: &str,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update tasting_links set ended_at = coalesce(ended_at, now())
         where tasting_id = $1 and public_id = $2 and used_at is null",
        tasting.0,
        link
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// What a link leads to, if it is good. Looking uses nothing up: chat programs look too.
pub async fn look(conn: &mut PgConnection, token: &str) -> Result<Option<Invited>, sqlx::Error> {
    let row = query!(
        r#"select t.id as "tasting: TastingId", t.public_id as "public_id: PublicId", t.title, m.name as host_name, t.kind
           from tasting_links l join tastings t on t.id = l.tasting_id join members m on m.id = t.host_id
           where l.token_hash = $1 and l.used_at is null and l.ended_at is null and l.expires_at > now()
               and t.closed_at is null"#,
        &random::hash_of(token)[..]
    );
    let Some(row) = row.fetch_optional(conn).await? else {
        return Ok(None);
    };
    Ok(Kind::from_word(&row.kind).map(|kind| Invited {
        tasting: row.tasting,
        public_id: row.public_id,
        title: row.title,
        host_name: row.host_name,
        kind,
    }))
}

/// The public id of the tasting behind a link, used or not, at which this member has a seat.
pub async fn seat_behind(
    conn: &mut PgConnection,
    token: &str,
    member: MemberId,
) -> Result<Option<String>, sqlx::Error> {
    query_scalar!(
        "select t.public_id from tasting_links l join tastings t on t.id = l.tasting_id
         join tasting_seats s on s.tasting_id = t.id and s.member_id = $2
         where l.token_hash = $1",
        &random::hash_of(token)[..],
        member.0
    )
    .fetch_optional(conn)
    .await
}

/// Uses a link up, within the transaction that gives the seat: of many at once one succeeds.
pub async fn consume(conn: &mut PgConnection, token: &str) -> Result<bool, sqlx::Error> {
    let used: Option<DateTime<Utc>> = query_scalar!(
        r#"update tasting_links set used_at = now()
           where token_hash = $1 and used_at is null and ended_at is null and expires_at > now()
           returning used_at as "used_at!""#,
        &random::hash_of(token)[..]
    )
    .fetch_optional(conn)
    .await?;
    Ok(used.is_some())
}

/// Forgets links that let nobody in any more, a month after they ran out.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    query!("delete from tasting_links where expires_at < now() - interval '30 days'")
        .execute(conn)
        .await?;
    Ok(())
}
