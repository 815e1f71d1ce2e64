//! Rows of once keys, and the club's own row.

use sqlx::{PgConnection, query, query_as};

use super::site::Club;
use super::viewer::MemberId;

/// Inserts the key; false when it is there already. A sender of the same key waits for the first one's end.
pub(super) async fn claim_once(
    conn: &mut PgConnection,
    member: MemberId,
    route: &str,
    key: &str,
    body: &[u8],
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "insert into once_keys (member_id, route, key, body_hash) values ($1, $2, $3, $4) on conflict do nothing",
        member.0,
        route,
        key,
        body
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

struct Used {
    body_hash: Vec<u8>,
    location: String,
}

/// What the key was used for.
pub(super) async fn read_once(
    conn: &mut PgConnection,
    member: MemberId,
    route: &str,
    key: &str,
) -> Result<Option<(Vec<u8>, String)>, sqlx::Error> {
    let used = query_as!(
        Used,
        "select body_hash, location from once_keys where member_id = $1 and route = $2 and key = $3",
        member.0,
        route,
        key
    );
    Ok(used
        .fetch_optional(conn)
        .await?
        .map(|used| (used.body_hash, used.location)))
}

/// Notes the resulting location.
pub(super) async fn settle_once(
    conn: &mut PgConnection,
    member: MemberId,
    route: &str,
    key: &str,
    location: &str,
) -> Result<(), sqlx::Error> {
    let done = query!(
        "update once_keys set location = $4 where member_id = $1 and route = $2 and key = $3",
        member.0,
        route,
        key,
        location
    );
    done.execute(conn).await?;
    Ok(())
}

/// Deletes what is older than a week.
pub(super) async fn forget_once(conn: &mut PgConnection) -> Result<u64, sqlx::Error> {
    let done = query!("delete from once_keys where created_at < now() - interval '7 days'");
    Ok(done.execute(conn).await?.rows_affected())
}

struct ClubRow {
    name: String,
    about: String,
    version: i32,
}

/// The club's row, if it is of another version than `known`.
pub(super) async fn newer_club(
    conn: &mut PgConnection,
    known: i32,
) -> Result<Option<Club>, sqlx::Error> {
    let row = query_as!(
        ClubRow,
        "select name, about, version from club where version <> $1",
        known
    );
    Ok(row.fetch_optional(conn).await?.map(|row| Club {
        name: row.name.into(),
        about: row.about.into(),
        version: row.version,
    }))
}
