//! Rows that only keepers read: the club's own row as an edit wants it, counts, how the database is.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as};

use crate::web::Error;
use crate::web::viewer::MemberId;

/// How the database is.
#[derive(Clone, Debug)]
pub struct Health {
    pub version: String,
    pub bytes: i64,
    pub connections: i64,
    pub connections_allowed: i32,
    /// Whether the role that serves could also alter tables.
    pub one_role: bool,
    pub tables: Vec<Table>,
    /// None where the serving role may not see it.
    pub applied: Option<Applied>,
    pub backup: Option<Backup>,
    pub trial: Option<Tried>,
}

/// A table with everything that belongs to it.
#[derive(Clone, Debug)]
pub struct Table {
    pub name: String,
    pub bytes: i64,
}

/// The migrations that were applied.
#[derive(Clone, Copy, Debug)]
pub struct Applied {
    pub many: i64,
    pub newest: Option<i64>,
}

/// A backup that was made.
#[derive(Clone, Copy, Debug)]
pub struct Backup {
    pub made_at: DateTime<Utc>,
    pub bytes: i64,
}

/// What a keeper typed about the club.
#[derive(Clone, Debug, PartialEq)]
pub struct NewClub {
    pub name: String,
    pub about: String,
    /// The version that the form saw; 0 while there was no row.
    pub seen: i32,
}

/// Saves what the club says of itself; false when somebody else was faster.
pub async fn save_club(
    conn: &mut PgConnection,
    new: &NewClub,
    by: MemberId,
    now: DateTime<Utc>,
) -> Result<bool, Error> {
    let done = query!(
        "insert into club as c (name, about, changed_by, changed_at) select $1::text, $2::text, $3::bigint,
             $4::timestamptz where $5::integer = 0 or exists (select from club)
         on conflict (only_one) do update set name = excluded.name, about = excluded.about,
             changed_by = excluded.changed_by, changed_at = excluded.changed_at, version = c.version + 1
             where c.version = $5",
        new.name,
        new.about,
        by.0,
        now,
        new.seen
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// How many there are of what a keeper looks after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counts {
    pub members: i64,
    pub keepers: i64,
    pub invites: i64,
    pub entries: i64,
}

/// Counts members who may come in, keepers among them, invites that are good, the club's own entries on offer.
pub async fn counts(conn: &mut PgConnection) -> Result<Counts, Error> {
    let found = query_as!(
        Counts,
        r#"select (select count(*) from members where disabled_at is null) as "members!",
                  (select count(*) from members where disabled_at is null and role = 'keeper') as "keepers!",
                  (select count(*) from invites i where invite_is_good(i)) as "invites!",
                  (select count(*) from catalogue_entries where not withdrawn) as "entries!""#
    );
    Ok(found.fetch_one(conn).await?)
}

/// The last backup that was noted.
pub async fn last_backup(conn: &mut PgConnection) -> Result<Option<Backup>, Error> {
    let found = query_as!(
        Backup,
        "select made_at, bytes from backups order by made_at desc, id desc limit 1"
    );
    Ok(found.fetch_optional(conn).await?)
}

/// The club in figures, for whoever watches the server.
#[derive(Clone, Copy, Debug)]
pub struct Club {
    pub members: i64,
    pub recipes: i64,
    pub batches: i64,
    pub backup: Option<Backup>,
}

/// Counts what is little, and takes of what is much what the database itself last estimated.
pub async fn club_in_figures(conn: &mut PgConnection) -> Result<Club, Error> {
    let found = query!(
        r#"with estimates as (select relname::text as name, reltuples::bigint as rows from pg_class
               where oid in ('members'::regclass, 'recipes'::regclass, 'batches'::regclass))
           select (select case when rows > 20000 then rows else (select count(*) from members) end
                      from estimates where name = 'members') as "members!",
                  (select case when rows > 20000 then rows else (select count(*) from recipes) end
                      from estimates where name = 'recipes') as "recipes!",
                  (select case when rows > 20000 then rows else (select count(*) from batches) end
                      from estimates where name = 'batches') as "batches!""#
    )
    .fetch_one(&mut *conn)
    .await?;
    Ok(Club {
        members: found.members,
        recipes: found.recipes,
        batches: found.batches,
        backup: last_backup(conn).await?,
    })
}

/// Notes that a backup was made.
pub async fn note_backup(
    conn: &mut PgConnection,
    made_at: DateTime<Utc>,
    bytes: i64,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into backups (made_at, bytes) values ($1, $2)",
        made_at,
        bytes
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Notes that the server made a backup by itself.
pub async fn note_own_backup(
    conn: &mut PgConnection,
    made_at: DateTime<Utc>,
    bytes: i64,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into backups (made_at, bytes, by_itself) values ($1, $2, true)",
        made_at,
        bytes
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Whether a backup could be brought back when that was tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// All of it came back.
    Whole,
    /// It cannot be brought back, or not all of it.
    NotWhole,
    /// There was no way to try.
    NotPossible,
}

impl Outcome {
    fn as_str(self) -> &'static str {
        match self {
            Outcome::Whole => "whole",
            Outcome::NotWhole => "not whole",
            Outcome::NotPossible => "not possible",
        }
    }

    fn of(word: &str) -> Outcome {
        match word {
            "whole" => Outcome::Whole,
            "not whole" => Outcome::NotWhole,
            _ => Outcome::NotPossible,
        }
    }
}

/// How a trial of a backup went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trial {
    pub outcome: Outcome,
    /// When the backup was made; none where none was read.
    pub made_at: Option<DateTime<Utc>>,
    /// What to tell of it, in a sentence or two.
    pub said: String,
}

/// A trial and when it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tried {
    pub tried_at: DateTime<Utc>,
    pub trial: Trial,
}

/// The last trial that was noted.
pub async fn last_trial(conn: &mut PgConnection) -> Result<Option<Tried>, sqlx::Error> {
    let found = query!(
        "select tried_at, made_at, outcome, said from backup_trials order by tried_at desc, id desc limit 1"
    );
    Ok(found.fetch_optional(conn).await?.map(|row| Tried {
        tried_at: row.tried_at,
        trial: Trial {
            outcome: Outcome::of(&row.outcome),
            made_at: row.made_at,
            said: row.said,
        },
    }))
}

/// Notes how a trial went.
pub async fn note_trial(
    conn: &mut PgConnection,
    tried_at: DateTime<Utc>,
    trial: &Trial,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into backup_trials (tried_at, made_at, outcome, said) values ($1, $2, $3, left($4, 2000))",
        tried_at,
        trial.made_at,
        trial.outcome.as_str(),
        trial.said
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// How the database is.
pub async fn health(conn: &mut PgConnection) -> Result<Health, Error> {
    let facts = query!(
        r#"select current_setting('server_version') as "version!", pg_database_size(current_database()) as "bytes!",
                  (select count(*) from pg_stat_activity where datname = current_database()) as "connections!",
                  current_setting('max_connections')::int as "allowed!",
                  exists (select from pg_class where oid = 'members'::regclass
                      and pg_has_role(current_user, relowner, 'member')) as "one_role!",
                  to_regclass('_sqlx_migrations') is not null
                      and has_table_privilege(to_regclass('_sqlx_migrations'), 'select') as "tells!""#
    )
    .fetch_one(&mut *conn)
    .await?;
    let tables = query_as!(
        Table,
        r#"select relname::text as "name!", pg_total_relation_size(oid) as "bytes!" from pg_class
           where relkind = 'r' and relnamespace = 'public'::regnamespace order by relname"#
    )
    .fetch_all(&mut *conn)
    .await?;
    let applied = match facts.tells {
        true => Some(applied(conn).await?),
        false => None,
    };
    Ok(Health {
        version: facts.version,
        bytes: facts.bytes,
        connections: facts.connections,
        connections_allowed: facts.allowed,
        one_role: facts.one_role,
        tables,
        applied,
        backup: last_backup(&mut *conn).await?,
        trial: last_trial(conn).await?,
    })
}

/// The migrations that were applied. Their table is made by whoever applies them, so no check knows it beforehand.
async fn applied(conn: &mut PgConnection) -> Result<Applied, Error> {
    let (many, newest): (i64, Option<i64>) =
        sqlx::query_as("select count(*), max(version) from _sqlx_migrations where success")
            .fetch_one(conn)
            .await?;
    Ok(Applied { many, newest })
}
