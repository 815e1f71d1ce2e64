//! Rows of members.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::model::{Credentials, NewMember};
use super::{invites, links, second, sessions, throttle, tokens};
use crate::web::Error;
use crate::web::random;
use crate::web::units::Units;
use crate::web::viewer::{MemberId, Role, Settings};

/// Makes a member; `None` when the name, or one that looks like it, is taken.
pub async fn create_member(
    conn: &mut PgConnection,
    new: &NewMember,
) -> Result<Option<MemberId>, Error> {
    let public_id = random::public_id()?;
    let settings = &new.settings;
    let made = query_scalar!(
        r#"insert into members (public_id, name, name_key, password_hash, role, units, theme, zone, sachet_g, powder_step_g, honey_step_g, password_changed_at)
           values ($1, $2, $3, $4, $5, $6, $7, $8, $9::float8, $10::float8, $11::float8, case when $4::text is null then null else now() end)
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
        settings.powder_step_g,
        settings.honey_step_g,
    );
    Ok(made.fetch_optional(conn).await?)
}

/// Dates a membership back: of whom is known since when they are of the club.
pub async fn set_joined(
    conn: &mut PgConnection,
    member: MemberId,
    at: DateTime<Utc>,
) -> Result<(), Error> {
    query!(
        "update members set created_at = $2 where id = $1",
        member.0,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
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
        "update members set units = $2, theme = $3, zone = $4, sachet_g = $5::float8, powder_step_g = $6::float8,
                            honey_step_g = $7::float8
         where id = $1",
        member.0,
        settings.units as Units,
        settings.theme.as_str(),
        settings.zone.name(),
        settings.sachet_g,
        settings.powder_step_g,
        settings.honey_step_g
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

/// Deletes what no longer matters: ended and expired sessions, used and expired links, what was begun for the second
/// step and not ended, old invites, tries of long ago.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), Error> {
    sessions::store::forget_old(conn).await?;
    links::store::forget_old(conn).await?;
    second::store::forget_old(conn).await?;
    invites::store::forget_old(conn).await?;
    tokens::store::forget_old(conn).await?;
    throttle::store::forget_old(conn).await
}
