//! Rows of jobs. Every moment is the database's.

use std::time::Duration;

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::{Held, Rhythm};

/// The first pause after a failure, seconds; each later one is twice as long.
const FIRST_PAUSE: f64 = 30.0;
/// The longest pause, seconds.
const LONGEST_PAUSE: f64 = 3600.0;
/// How long what has ended is remembered, so that its key is not done again.
const REMEMBERED_DAYS: i32 = 30;

/// Sees to it that what comes again and again has its row. A new one comes first after `first`, or in the night.
pub async fn establish(
    conn: &mut PgConnection,
    kind: &str,
    rhythm: Rhythm,
    first: Duration,
) -> Result<(), sqlx::Error> {
    let nightly = match rhythm {
        Rhythm::Asked { .. } => return Ok(()),
        Rhythm::Every(_) => false,
        Rhythm::Nightly => true,
    };
    query!(
        "insert into jobs (kind, key, due_at) values ($1, '', case when $2
             then (date_trunc('day', (now() at time zone 'UTC') - interval '150 minutes') + interval '1590 minutes')
                  at time zone 'UTC'
             else now() + make_interval(secs => $3) end)
         on conflict (kind, key) do nothing",
        kind,
        nightly,
        first.as_secs_f64()
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Asks for a job, within the caller's transaction. False when this key was asked for before, or when so many of the kind
/// wait already.
pub async fn ask(
    conn: &mut PgConnection,
    kind: &str,
    key: &str,
    about: &Value,
    most_waiting: i64,
) -> Result<bool, sqlx::Error> {
    let asked = query!(
        "insert into jobs (kind, key, about)
         select $1::text, $2::text, $3::jsonb
         where (select count(*) from jobs where kind = $1 and ended_at is null) < $4::bigint
         on conflict (kind, key) do nothing",
        kind,
        key,
        about,
        most_waiting
    );
    Ok(asked.execute(conn).await?.rows_affected() == 1)
}

/// A job that was taken.
struct Taken {
    id: i64,
    kind: String,
    key: String,
    about: Value,
    turn: i64,
    tries: i32,
    was_begun: bool,
    asked_ago: f64,
}

/// Takes the job of these kinds that waits longest, for so long; one whose holder says nothing any more is free again.
pub async fn take(
    conn: &mut PgConnection,
    kinds: &[String],
    lease: Duration,
) -> Result<Option<Held>, sqlx::Error> {
    let taken = query_as!(
        Taken,
        r#"update jobs set
               failed_at = case when held_until is null then failed_at else now() end,
               failure = case when held_until is null then failure
                              else 'The server that was at it stopped in the middle.' end,
               turn = turn + 1, tries = tries + 1, held_until = now() + make_interval(secs => $2)
           where id = (
               select id from jobs
               where kind = any($1) and ended_at is null and due_at <= now()
                 and (held_until is null or held_until < now())
               order by due_at, id limit 1 for update skip locked)
           returning id, kind, key, about, turn, tries, begun_at is not null as "was_begun!",
                     extract(epoch from now() - asked_at)::float8 as "asked_ago!""#,
        kinds,
        lease.as_secs_f64()
    );
    let taken = taken.fetch_optional(conn).await?;
    Ok(taken.map(|taken| Held {
        id: taken.id,
        kind: taken.kind,
        key: taken.key,
        about: taken.about,
        turn: taken.turn,
        tries: taken.tries,
        was_begun: taken.was_begun,
        // A clock that was put back says less than nothing.
        asked_ago: Duration::try_from_secs_f64(taken.asked_ago).unwrap_or_default(),
    }))
}

/// Says that the holder is still at it; false when it is theirs no more.
pub async fn keep(
    conn: &mut PgConnection,
    held: &Held,
    lease: Duration,
) -> Result<bool, sqlx::Error> {
    let kept = query!(
        "update jobs set held_until = now() + make_interval(secs => $3)
         where id = $1 and turn = $2 and held_until is not null",
        held.id,
        held.turn,
        lease.as_secs_f64()
    );
    Ok(kept.execute(conn).await?.rows_affected() == 1)
}

/// Notes that what cannot be taken back begins; true once, and only for who still holds it.
pub(super) async fn begin(conn: &mut PgConnection, held: &Held) -> Result<bool, sqlx::Error> {
    let begun = query!(
        "update jobs set begun_at = clock_timestamp()
         where id = $1 and turn = $2 and begun_at is null and held_until > clock_timestamp()",
        held.id,
        held.turn
    );
    Ok(begun.execute(conn).await?.rows_affected() == 1)
}

/// Notes that a job is done, and when it comes again. What was asked for is forgotten but for its key. False when it is not this holder's any more.
pub async fn done(
    conn: &mut PgConnection,
    held: &Held,
    rhythm: Rhythm,
) -> Result<bool, sqlx::Error> {
    let (again, nightly) = match rhythm {
        Rhythm::Every(pause) => (Some(pause.as_secs_f64()), false),
        Rhythm::Nightly => (Some(0.0), true),
        Rhythm::Asked { .. } => (None, false),
    };
    let done = query!(
        "update jobs set held_until = null, tries = 0, begun_at = null, done_at = now(),
             due_at = case when $4 then (date_trunc('day', (now() at time zone 'UTC') - interval '150 minutes')
                                         + interval '1590 minutes') at time zone 'UTC'
                           else now() + make_interval(secs => coalesce($3::float8, 0)) end,
             ended_at = case when $3::float8 is null then now() end,
             about = case when $3::float8 is null then '{}' else about end
         where id = $1 and turn = $2 and held_until is not null",
        held.id,
        held.turn,
        again,
        nightly
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Notes why a job was not done, and when it is tried again; what was asked for is given up after its time, or at once.
/// Tells whether it was given up.
pub async fn failed(
    conn: &mut PgConnection,
    held: &Held,
    rhythm: Rhythm,
    words: &str,
    for_good: bool,
) -> Result<bool, sqlx::Error> {
    let within = match rhythm {
        Rhythm::Asked { within } => Some(within.as_secs_f64()),
        _ => None,
    };
    let pause = FIRST_PAUSE * 2_f64.powi(held.tries.clamp(1, 20) - 1);
    let given_up = query_scalar!(
        r#"update jobs set held_until = null, begun_at = null, failed_at = now(), failure = left($3, 500),
               due_at = now() + make_interval(secs => $4 * (0.75 + random() / 2)),
               ended_at = case when $5::float8 is null then null
                               when $6 or asked_at + make_interval(secs => $5) <= now() + make_interval(secs => $4)
                               then now() end
           where id = $1 and turn = $2 and held_until is not null
           returning ended_at is not null as "given_up!""#,
        held.id,
        held.turn,
        words,
        pause.min(LONGEST_PAUSE),
        within,
        for_good
    );
    let given_up = given_up.fetch_optional(&mut *conn).await?.unwrap_or(false);
    if given_up {
        query!("update jobs set about = '{}' where id = $1", held.id)
            .execute(conn)
            .await?;
    }
    Ok(given_up)
}

/// Gives a job back that was not ended, for another server to begin at once.
pub async fn give_back(conn: &mut PgConnection, held: &Held) -> Result<(), sqlx::Error> {
    query!(
        "update jobs set held_until = null, tries = greatest(tries - 1, 0)
         where id = $1 and turn = $2 and held_until is not null",
        held.id,
        held.turn
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Forgets what ended long ago.
pub async fn forget_old(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    query!(
        "delete from jobs where ended_at < now() - make_interval(days => $1)",
        REMEMBERED_DAYS
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The present moment by the database's clock, the same for all servers.
pub async fn now(conn: &mut PgConnection) -> Result<DateTime<Utc>, sqlx::Error> {
    query_scalar!(r#"select now() as "now!""#)
        .fetch_one(conn)
        .await
}

/// How a kind of job stands, for the keeper.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    pub kind: String,
    /// How many wait or are under way.
    pub waiting: i64,
    /// When the next of them is due.
    pub due_at: Option<DateTime<Utc>>,
    pub done_at: Option<DateTime<Utc>>,
    /// The last failure since it was done last, or within the last week.
    pub failed_at: Option<DateTime<Utc>>,
    pub failure: Option<String>,
    /// Whether the last failure has not been made good since.
    pub is_failing: bool,
}

/// How all kinds stand.
pub async fn standings(conn: &mut PgConnection) -> Result<Vec<Standing>, sqlx::Error> {
    query_as!(
        Standing,
        r#"select j.kind, count(*) filter (where j.ended_at is null) as "waiting!",
                  min(j.due_at) filter (where j.ended_at is null) as due_at, max(j.done_at) as done_at,
                  max(j.failed_at) as failed_at,
                  (select l.failure from jobs l where l.kind = j.kind and l.failed_at is not null
                   order by l.failed_at desc, l.id desc limit 1) as failure,
                  bool_or(j.failed_at is not null and j.failed_at > coalesce(j.done_at, '-infinity')
                          and (j.ended_at is null or j.ended_at > now() - interval '7 days')) as "is_failing!"
           from jobs j group by j.kind order by j.kind"#
    )
    .fetch_all(conn)
    .await
}
