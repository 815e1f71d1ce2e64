//! Rows of members' addresses.

use sqlx::{PgConnection, query, query_as, query_scalar};

use crate::web::viewer::MemberId;
use crate::web::{Error, random};

/// How long the link of a confirmation is good, hours.
pub const CONFIRM_HOURS: i32 = 48;

/// Where a member may be written to.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    pub address: String,
    pub is_confirmed: bool,
    pub reminders: bool,
}

/// What a member gave.
pub async fn find(conn: &mut PgConnection, member: MemberId) -> Result<Option<Kept>, Error> {
    let found = query_as!(
        Kept,
        r#"select address, confirmed_at is not null as "is_confirmed!", reminders from member_mail where member_id = $1"#,
        member.0
    );
    Ok(found.fetch_optional(conn).await?)
}

/// The address of a member who confirmed it and may come in.
pub(super) async fn confirmed(
    conn: &mut PgConnection,
    member: MemberId,
) -> Result<Option<String>, sqlx::Error> {
    query_scalar!(
        "select a.address from member_mail a join members m on m.id = a.member_id
         where a.member_id = $1 and a.confirmed_at is not null and m.disabled_at is null",
        member.0
    )
    .fetch_optional(conn)
    .await
}

/// Keeps an address, which is to be confirmed before anything else is sent there. The same one stays as it is.
pub async fn give(conn: &mut PgConnection, member: MemberId, address: &str) -> Result<(), Error> {
    query!(
        "insert into member_mail as a (member_id, address, stop_token) values ($1, $2, $3)
         on conflict (member_id) do update set address = excluded.address, confirmed_at = null, confirm_hash = null,
             confirm_until = null, reminders = false, stop_token = excluded.stop_token
             where a.address <> excluded.address",
        member.0,
        address,
        random::token()?
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// A new link for the address that a member has not confirmed yet, and where to send it.
pub(super) async fn ask_to_confirm(
    conn: &mut PgConnection,
    member: MemberId,
) -> Result<Option<(String, String)>, Error> {
    let token = random::token()?;
    let address = query_scalar!(
        "update member_mail a set confirm_hash = $2, confirm_until = now() + make_interval(hours => $3)
         from members m
         where a.member_id = $1 and a.confirmed_at is null and m.id = a.member_id and m.disabled_at is null
         returning a.address",
        member.0,
        &random::hash_of(&token)[..],
        CONFIRM_HOURS
    );
    let address = address.fetch_optional(conn).await?;
    Ok(address.map(|address| (address, token)))
}

/// The address that a good link confirms. Looking uses nothing up: scanners of mail look too.
pub async fn to_confirm(conn: &mut PgConnection, token: &str) -> Result<Option<String>, Error> {
    let found = query_scalar!(
        "select address from member_mail where confirm_hash = $1 and confirm_until > now() and confirmed_at is null",
        &random::hash_of(token)[..]
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Confirms the address of a link, and uses it up; false when it is not good any more.
pub async fn confirm(conn: &mut PgConnection, token: &str) -> Result<bool, Error> {
    let done = query!(
        "update member_mail set confirmed_at = now(), confirm_hash = null, confirm_until = null
         where confirm_hash = $1 and confirm_until > now() and confirmed_at is null",
        &random::hash_of(token)[..]
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Begins or ends a member's reminders; only a confirmed address gets any.
pub async fn set_reminders(
    conn: &mut PgConnection,
    member: MemberId,
    wanted: bool,
) -> Result<bool, Error> {
    let done = query!(
        "update member_mail set reminders = $2 where member_id = $1 and confirmed_at is not null",
        member.0,
        wanted
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Whether this is what stops somebody's reminders.
pub async fn is_stop(conn: &mut PgConnection, token: &str) -> Result<bool, Error> {
    let found = query_scalar!(
        r#"select exists (select from member_mail where stop_token = $1) as "is!""#,
        token
    );
    Ok(found.fetch_one(conn).await?)
}

/// Ends reminders by what stands in each of them; sent again it does no more.
pub async fn stop(conn: &mut PgConnection, token: &str) -> Result<bool, Error> {
    let done = query!(
        "update member_mail set reminders = false where stop_token = $1",
        token
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Forgets a member's address.
pub async fn remove(conn: &mut PgConnection, member: MemberId) -> Result<(), Error> {
    query!("delete from member_mail where member_id = $1", member.0)
        .execute(conn)
        .await?;
    Ok(())
}

/// Whoever a name belongs to and may be written to.
pub(super) async fn by_name(
    conn: &mut PgConnection,
    name_key: &str,
) -> Result<Option<(MemberId, String)>, Error> {
    let found = query!(
        r#"select m.id as "id: MemberId", a.address from members m join member_mail a on a.member_id = m.id
           where m.name_key = $1 and a.confirmed_at is not null and m.disabled_at is null"#,
        name_key
    );
    let found = found.fetch_optional(conn).await?;
    Ok(found.map(|row| (row.id, row.address)))
}

/// Whoever wants reminders: where they live, the address, and what stops them.
#[derive(Clone, Debug)]
pub(super) struct Reminded {
    pub id: MemberId,
    pub zone: String,
    pub address: String,
    pub stop_token: String,
}

/// Everybody who wants reminders, or one of them.
pub(super) async fn reminded(
    conn: &mut PgConnection,
    member: Option<MemberId>,
) -> Result<Vec<Reminded>, Error> {
    let found = query_as!(
        Reminded,
        r#"select m.id as "id: MemberId", m.zone, a.address, a.stop_token
           from member_mail a join members m on m.id = a.member_id
           where a.reminders and a.confirmed_at is not null and m.disabled_at is null
             and ($1::bigint is null or m.id = $1) order by m.id"#,
        member.map(|id| id.0)
    );
    Ok(found.fetch_all(conn).await?)
}
