//! Rows of tokens. Like sessions they are judged by the database's clock.

use sqlx::{PgConnection, query, query_as, query_scalar};

use super::{MOST, NewToken, PREFIX, Token, Use};
use crate::members::sessions::{Found, SessionRow};
use crate::web::grant::Grant;
use crate::web::units::Units;
use crate::web::viewer::{CatalogueState, MemberId, Role};
use crate::web::{Error, random};

/// Makes a token within the caller's transaction: its public id and its text, which is kept nowhere. `None` when the
/// member has as many living ones as anybody may.
pub async fn make(
    conn: &mut PgConnection,
    member: MemberId,
    new: &NewToken,
) -> Result<Option<(String, String)>, Error> {
    // One at a time, so that two at once do not both take the last place.
    query!("select id from members where id = $1 for update", member.0)
        .fetch_one(&mut *conn)
        .await?;
    let living = query_scalar!(
        r#"select count(*) as "count!" from member_tokens
           where member_id = $1 and ended_at is null and expires_at > now()"#,
        member.0
    );
    if living.fetch_one(&mut *conn).await? >= MOST {
        return Ok(None);
    }
    let text = match new.opens {
        Grant::Feed | Grant::Calendar => random::token()?,
        Grant::Read | Grant::Write => format!("{PREFIX}{}", random::token()?),
    };
    let public_id = random::public_id()?;
    query!(
        "insert into member_tokens (public_id, token_hash, member_id, name, opens, expires_at)
         values ($1, $2, $3, $4, $5, $6)",
        public_id,
        &random::hash_of(&text)[..],
        member.0,
        new.name,
        new.opens.as_str(),
        new.expires_at
    )
    .execute(conn)
    .await?;
    Ok(Some((public_id, text)))
}

/// A member's tokens, those that are good first, then the newest; dead ones of the last month among them.
pub async fn list(conn: &mut PgConnection, member: MemberId) -> Result<Vec<Token>, Error> {
    let found = query_as!(
        Token,
        r#"select public_id, name, opens as "opens: Grant", created_at, expires_at, last_used_at,
               (ended_at is null and expires_at > now()) as "is_good!"
           from member_tokens where member_id = $1
           order by (ended_at is null and expires_at > now()) desc, created_at desc, id desc limit 60"#,
        member.0
    );
    Ok(found.fetch_all(conn).await?)
}

/// Counts one use of a token and tells who comes by it; `None` when it is unknown, has run out, was ended, or its
/// member was shut out. One statement, so that uses at once are all counted.
pub async fn use_token(
    conn: &mut PgConnection,
    text: &str,
    most_a_minute: i32,
) -> Result<Option<Use>, Error> {
    let row = query!(
        r#"update member_tokens t set last_used_at = now(),
               minute_began_at = case when t.minute_began_at <= now() - interval '1 minute' then now() else t.minute_began_at end,
               minute_uses = case when t.minute_began_at <= now() - interval '1 minute' then 1
                   else least(t.minute_uses, 1000000000) + 1 end
           from members m
           where t.token_hash = $1 and t.ended_at is null and t.expires_at > now()
             and m.id = t.member_id and m.disabled_at is null
           returning t.opens as "opens: Grant", t.minute_uses,
               ceil(extract(epoch from t.minute_began_at + interval '1 minute' - now()))::int as "left!",
               m.id as "id: MemberId""#,
        &random::hash_of(text)[..]
    );
    let Some(row) = row.fetch_optional(&mut *conn).await? else {
        return Ok(None);
    };
    let too_often = row.minute_uses > most_a_minute;
    let wait = too_often.then(|| u32::try_from(row.left).unwrap_or(1).max(1));
    let Some(found) = find_member(conn, row.id).await? else {
        return Ok(None);
    };
    Ok(Some(Use {
        member: found.member,
        standing: found.standing,
        opens: row.opens,
        wait,
    }))
}

/// A member who comes without a session.
pub async fn find_member(conn: &mut PgConnection, id: MemberId) -> Result<Option<Found>, Error> {
    let row = query_as!(
        SessionRow,
        r#"select 0::bigint as "session!", m.id as "id: MemberId", m.public_id, m.name, m.role as "role: Role",
                  m.units as "units: Units", m.theme, m.zone, m.sachet_g::float8 as "sachet_g!",
                  m.powder_step_g::float8 as "powder_step_g!", m.honey_step_g::float8 as "honey_step_g!", false as "stale!",
                  false as "is_proven!",
                  exists (select from code_apps a where a.member_id = m.id)
                      or exists (select from passkeys p where p.member_id = m.id) as "has_second_step!",
                  book_closed(m.id) as "book_closed!", null::text as "catalogue: CatalogueState", null::int as club_version
           from members m where m.id = $1 and m.disabled_at is null"#,
        id.0
    );
    Ok(row.fetch_optional(conn).await?.map(Found::from))
}

/// Ends one token of a member; false when they have none of that name.
pub async fn end(conn: &mut PgConnection, member: MemberId, id: &str) -> Result<bool, Error> {
    let ended = query!(
        "update member_tokens set ended_at = coalesce(ended_at, now()) where member_id = $1 and public_id = $2",
        member.0,
        id
    );
    Ok(ended.execute(conn).await?.rows_affected() == 1)
}

/// Ends all tokens of a member: they ask for it, or their password was changed.
pub async fn end_all(conn: &mut PgConnection, member: MemberId) -> Result<u64, Error> {
    let ended = query!(
        "update member_tokens set ended_at = now() where member_id = $1 and ended_at is null",
        member.0
    );
    Ok(ended.execute(conn).await?.rows_affected())
}

/// Deletes tokens that have been dead for a month.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!(
        "delete from member_tokens
         where ended_at < now() - interval '30 days' or expires_at < now() - interval '30 days'"
    )
    .execute(conn)
    .await?;
    Ok(())
}
