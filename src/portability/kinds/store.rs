//! What all kinds ask of the database.

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::{AssertSqlSafe, PgConnection, query, query_scalar};

use super::text;
use crate::web::Error;
use crate::web::viewer::MemberId;

/// The things that a kind's own query finds for a member.
pub async fn things(
    conn: &mut PgConnection,
    kinds_query: &'static str,
    owner: MemberId,
) -> Result<Vec<Value>, Error> {
    let found = query_scalar(AssertSqlSafe(kinds_query)).bind(owner.0);
    Ok(found.fetch_all(conn).await?)
}

/// Lets statements of this transaction take longer than those of a page may.
pub async fn wait_longer(conn: &mut PgConnection) -> Result<(), Error> {
    query!("select set_config('statement_timeout', '20s', true)")
        .fetch_one(conn)
        .await?;
    Ok(())
}

/// Carries out a kind's own statement with a thing as `$1`, its new owner as `$2` and its new public id as `$3`.
pub async fn put(
    conn: &mut PgConnection,
    statement: &'static str,
    thing: &Value,
    owner: MemberId,
    place: &str,
) -> Result<u64, Error> {
    let done = query(AssertSqlSafe(statement))
        .bind(thing)
        .bind(owner.0)
        .bind(place);
    Ok(done.execute(conn).await?.rows_affected())
}

/// A thing that came from elsewhere, as it is remembered.
#[derive(Clone, Debug)]
pub struct Remembered {
    pub origin: String,
    pub place: Option<String>,
    pub said: Value,
}

/// What of a kind came from elsewhere, the oldest first.
pub async fn remembered(
    conn: &mut PgConnection,
    owner: MemberId,
    kind: &str,
) -> Result<Vec<Remembered>, Error> {
    let found = sqlx::query_as!(
        Remembered,
        "select origin_id as origin, place, said from imported_things
         where member_id = $1 and kind = $2 order by imported_at, origin_id",
        owner.0,
        kind
    );
    Ok(found.fetch_all(conn).await?)
}

/// The things of a kind, by its name and its own query, each with what was said of it elsewhere and has no column here: `say`
/// puts that back.
pub async fn things_as_told(
    conn: &mut PgConnection,
    (kind, kinds_query): (&'static str, &'static str),
    owner: MemberId,
    say: fn(&mut Value, &Value),
) -> Result<Vec<Value>, Error> {
    let mut things = things(conn, kinds_query, owner).await?;
    let from_elsewhere = remembered(conn, owner, kind).await?;
    let has_said = |told: &&Remembered| told.said.as_object().is_some_and(|said| !said.is_empty());
    for thing in &mut things {
        let id = text(thing, "/id").to_owned();
        let mut told = from_elsewhere.iter().filter(has_said);
        let told = told.find(|told| told.place.as_deref() == Some(&id));
        if let Some(told) = told {
            say(thing, &told.said);
        }
    }
    Ok(things)
}

/// Remembers where something came from.
pub async fn remember(
    conn: &mut PgConnection,
    owner: MemberId,
    kind: &str,
    thing: &Remembered,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    query!(
        "insert into imported_things (member_id, kind, origin_id, place, said, imported_at)
         values ($1, $2, $3, $4, $5, $6) on conflict do nothing",
        owner.0,
        kind,
        thing.origin,
        thing.place.as_deref(),
        thing.said,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The key of a revision that was just put.
pub async fn revision(conn: &mut PgConnection, recipe: &str, number: i64) -> Result<i64, Error> {
    let found = query_scalar!(
        "select v.id from revisions v join recipes r on r.id = v.recipe_id where r.public_id = $1 and v.number = $2",
        recipe,
        i32::try_from(number).unwrap_or(i32::MAX)
    );
    Ok(found.fetch_one(conn).await?)
}

/// The bytes of a text in base64; what is none is a fault of the data.
pub async fn bytes(conn: &mut PgConnection, base64: &str) -> Result<Vec<u8>, Error> {
    let found = query_scalar!(r#"select decode($1, 'base64') as "bytes!""#, base64);
    Ok(found.fetch_one(conn).await?)
}
