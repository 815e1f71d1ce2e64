//! Rows of invites and their links.

use sqlx::{PgConnection, query, query_as};

use super::{Invite, Joined, NewInvite, Welcome};
use crate::members::model::{Credentials, NewMember};
use crate::members::store::create_member;
use crate::web::viewer::{MemberId, Role};
use crate::web::{Error, random};

/// How many invites a keeper's page shows: the newest.
const SHOWN: i64 = 200;

/// Makes an invite without a link yet; gives its public id.
pub async fn make_invite(
    conn: &mut PgConnection,
    maker: MemberId,
    new: &NewInvite,
) -> Result<String, Error> {
    let public_id = random::public_id()?;
    query!(
        "insert into invites (public_id, role, note, uses_allowed, made_by, expires_at)
         values ($1, $2, $3, $4, $5, now() + make_interval(days => $6))",
        public_id,
        new.role as Role,
        new.note,
        new.uses,
        maker.0,
        new.days
    )
    .execute(conn)
    .await?;
    Ok(public_id)
}

/// Makes the token of one more link to an invite; `None` when the invite lets nobody in any more. Older links to it
/// stay good: all of them share its uses.
pub async fn make_invite_link(
    conn: &mut PgConnection,
    public_id: &str,
) -> Result<Option<String>, Error> {
    let token = random::token()?;
    let made = query!(
        "insert into invite_links (token_hash, invite_id)
         select $1, id from invites where public_id = $2 and invite_is_good(invites)",
        &random::hash_of(&token)[..],
        public_id
    );
    let made = made.execute(conn).await?.rows_affected() == 1;
    Ok(made.then_some(token))
}

/// One invite.
pub async fn find_invite(
    conn: &mut PgConnection,
    public_id: &str,
) -> Result<Option<Invite>, Error> {
    Ok(read_invites(conn, Some(public_id)).await?.pop())
}

/// The newest invites.
pub async fn list_invites(conn: &mut PgConnection) -> Result<Vec<Invite>, Error> {
    read_invites(conn, None).await
}

async fn read_invites(
    conn: &mut PgConnection,
    public_id: Option<&str>,
) -> Result<Vec<Invite>, Error> {
    let found = query_as!(
        Invite,
        r#"select i.public_id, i.role as "role: Role", i.note, i.uses, i.uses_allowed, i.expires_at,
                  i.revoked_at is not null as "is_revoked!", i.expires_at <= now() as "is_over!",
                  invite_is_good(i) as "is_good!", maker.name as "made_by?",
                  array(select m.name from members m where m.invite_id = i.id order by m.id) as "came!"
           from invites i left join members maker on maker.id = i.made_by
           where $1::text is null or i.public_id = $1
           order by i.id desc limit $2"#,
        public_id,
        SHOWN
    );
    Ok(found.fetch_all(conn).await?)
}

/// Takes an invite back: its links let nobody in any more. False when there is none.
pub async fn revoke_invite(conn: &mut PgConnection, public_id: &str) -> Result<bool, Error> {
    let done = query!(
        "update invites set revoked_at = coalesce(revoked_at, now()) where public_id = $1",
        public_id
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// What a good link says. Looking uses nothing up: chat programs look too.
pub async fn find_welcome(conn: &mut PgConnection, token: &str) -> Result<Option<Welcome>, Error> {
    let found = query_as!(
        Welcome,
        r#"select i.role as "role: Role", maker.name as made_by, maker.zone
           from invite_links l join invites i on i.id = l.invite_id join members maker on maker.id = i.made_by
           where l.token_hash = $1 and invite_is_good(i)"#,
        &random::hash_of(token)[..]
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Lets somebody in within the caller's transaction, which is to be undone unless they are in. The invite decides what
/// they become; one statement counts its use, so that of many at once exactly as many come in as it allows.
pub async fn join(conn: &mut PgConnection, token: &str, new: NewMember) -> Result<Joined, Error> {
    let used = query!(
        r#"update invites i set uses = uses + 1
           where i.id = (select invite_id from invite_links where token_hash = $1) and invite_is_good(i)
           returning id, role as "role: Role""#,
        &random::hash_of(token)[..]
    );
    let Some(invite) = used.fetch_optional(&mut *conn).await? else {
        return Ok(Joined::NotGood);
    };
    let new = NewMember {
        role: invite.role,
        ..new
    };
    let Some(member) = create_member(conn, &new).await? else {
        return Ok(Joined::NameTaken);
    };
    query!(
        "update members set invite_id = $2 where id = $1",
        member.0,
        invite.id
    )
    .execute(conn)
    .await?;
    Ok(Joined::In(member))
}

/// A member who came in by this link within the last minutes under this name: somebody who pressed twice.
pub async fn find_just_joined(
    conn: &mut PgConnection,
    token: &str,
    name_key: &str,
) -> Result<Option<Credentials>, Error> {
    let found = query_as!(
        Credentials,
        r#"select m.id as "id: MemberId", m.public_id, m.name, m.password_hash
           from members m join invite_links l on l.invite_id = m.invite_id
           where l.token_hash = $1 and m.name_key = $2 and m.disabled_at is null
             and m.created_at > now() - interval '10 minutes'"#,
        &random::hash_of(token)[..],
        name_key
    );
    Ok(found.fetch_optional(conn).await?)
}

/// Deletes links that have let nobody in for a month and can let nobody in any more; the invites stay, since members
/// name them.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    query!(
        "delete from invite_links where invite_id in (
             select id from invites where least(expires_at, revoked_at) < now() - interval '30 days')"
    )
    .execute(&mut *conn)
    .await?;
    query!(
        "delete from invites i where least(expires_at, revoked_at) < now() - interval '30 days'
         and not exists (select from members m where m.invite_id = i.id)"
    )
    .execute(conn)
    .await?;
    Ok(())
}
