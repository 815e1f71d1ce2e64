//! What backups ask the database: one moment of it, what is in it, whether it is empty, who may do what in it.
//! Tables are named by the catalogue of the database, whatever its schema: no statement here can be checked beforehand.

use sqlx::{AssertSqlSafe, PgConnection, query, query_as, query_scalar, raw_sql};

use super::file::{Counter, Table};

/// The key of the lock that lets one backup of a club be made at a time.
const BACKUP: i64 = 0x6d75_7374_6261_636b;
/// The table that stands in a database while a backup is being restored into it.
const HALF: &str = "unfinished_restore";
/// What is over once a backup is restored: everybody signs in anew, and old one-time links open nothing.
const ENDED: &[&str] = &[
    "sessions",
    "half_sign_ins",
    "passkey_ceremonies",
    "code_apps_begun",
    "one_time_links",
    "sign_in_tries",
];

/// Takes the lock of backups, held until this connection ends; false while another has it.
pub async fn claim(conn: &mut PgConnection) -> Result<bool, sqlx::Error> {
    query_scalar("select pg_try_advisory_lock($1)")
        .bind(BACKUP)
        .fetch_one(conn)
        .await
}

/// Gives the lock back before the connection ends: its server may notice that end only later.
pub async fn release(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    query("select pg_advisory_unlock($1)")
        .bind(BACKUP)
        .execute(conn)
        .await?;
    Ok(())
}

/// Lets the connection see one moment of the database and nothing later; its name, by which others see the same.
pub async fn open_snapshot(conn: &mut PgConnection) -> Result<String, sqlx::Error> {
    speak_plainly(conn).await?;
    raw_sql("begin isolation level repeatable read read only")
        .execute(&mut *conn)
        .await?;
    query_scalar("select pg_export_snapshot()")
        .fetch_one(conn)
        .await
}

/// Lets it see the present again.
pub async fn close_snapshot(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    raw_sql("commit").execute(conn).await?;
    Ok(())
}

/// Values are written in one way, whatever the server's settings; nothing is cut off for being slow.
async fn speak_plainly(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    raw_sql(
        "set timezone = 'UTC'; set datestyle = 'ISO, MDY'; set intervalstyle = 'postgres'; set extra_float_digits = 1;
         set bytea_output = 'hex'; set statement_timeout = 0; set idle_in_transaction_session_timeout = 0",
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The database as a whole.
pub struct Facts {
    pub postgres: String,
    pub schema: i64,
    pub bytes: i64,
}

/// What the database is.
pub async fn facts(conn: &mut PgConnection) -> Result<Facts, sqlx::Error> {
    let (postgres, bytes, migrated): (String, i64, bool) = query_as(
        "select current_setting('server_version'), pg_database_size(current_database()),
             to_regclass('public._sqlx_migrations') is not null",
    )
    .fetch_one(&mut *conn)
    .await?;
    let schema: Option<i64> = match migrated {
        true => {
            query_scalar("select max(version) from public._sqlx_migrations where success")
                .fetch_one(conn)
                .await?
        }
        false => None,
    };
    Ok(Facts {
        postgres,
        schema: schema.unwrap_or_default(),
        bytes,
    })
}

/// What the club calls itself, if it does.
pub async fn club_name(conn: &mut PgConnection) -> Result<Option<String>, sqlx::Error> {
    match has_table(conn, "club").await? {
        true => {
            query_scalar("select name from public.club")
                .fetch_optional(conn)
                .await
        }
        false => Ok(None),
    }
}

async fn has_table(conn: &mut PgConnection, name: &str) -> Result<bool, sqlx::Error> {
    query_scalar("select to_regclass('public.' || quote_ident($1)) is not null")
        .persistent(false)
        .bind(name)
        .fetch_one(conn)
        .await
}

/// Every table with its rows and their fingerprint.
pub async fn tables(conn: &mut PgConnection) -> Result<Vec<Table>, sqlx::Error> {
    speak_plainly(conn).await?;
    let names: Vec<(String, String)> = query_as(
        "select relname::text, quote_ident(relname) from pg_class
         where relnamespace = 'public'::regnamespace and relkind = 'r' and relname <> $1 order by relname",
    )
    .persistent(false)
    .bind(HALF)
    .fetch_all(&mut *conn)
    .await?;
    let mut tables = Vec::new();
    for (name, quoted) in names {
        let statement = format!(
            "select count(*), coalesce(sum(('x' || encode(substr(sha256(convert_to(whole_row_::text, 'UTF8')), 1, 8),
                 'hex'))::bit(64)::bigint), 0)::text from public.{quoted} whole_row_"
        );
        let (rows, fingerprint): (i64, String) = query_as(AssertSqlSafe(statement))
            .persistent(false)
            .fetch_one(&mut *conn)
            .await?;
        tables.push(Table {
            name,
            rows,
            fingerprint,
        });
    }
    Ok(tables)
}

/// Every sequence and its last number.
pub async fn counters(conn: &mut PgConnection) -> Result<Vec<Counter>, sqlx::Error> {
    let found: Vec<(String, Option<i64>)> = query_as(
        "select sequencename::text, last_value from pg_sequences where schemaname = 'public' order by 1",
    )
    .persistent(false)
    .fetch_all(conn)
    .await?;
    let counters = found.into_iter();
    Ok(counters
        .map(|(name, last)| Counter { name, last })
        .collect())
}

/// What stands in the way of a restore.
pub struct Inside {
    pub members: i64,
    /// A table that is not of Mustwright, if there is one and no table of Mustwright.
    pub foreign: Option<String>,
    /// Connections of others to this database in our roles.
    pub connections: i64,
}

/// What is in a database; of one that a restore left half-way, nothing.
pub async fn inside(conn: &mut PgConnection, app_role: &str) -> Result<Inside, sqlx::Error> {
    let half = is_half_restored(conn).await?;
    let members = match !half && has_table(conn, "members").await? {
        true => {
            query_scalar("select count(*) from public.members")
                .fetch_one(&mut *conn)
                .await?
        }
        false => 0,
    };
    let foreign = query_scalar(
        "select min(relname::text) from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r'
             and to_regclass('public._sqlx_migrations') is null and not $1",
    )
    .bind(half)
    .fetch_one(&mut *conn)
    .await?;
    let connections = query_scalar(
        "select count(*) from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()
             and usename in (current_user, $1)",
    )
    .bind(app_role)
    .fetch_one(conn)
    .await?;
    Ok(Inside {
        members,
        foreign,
        connections,
    })
}

/// Whether a restore into this database did not end.
pub async fn is_half_restored(conn: &mut PgConnection) -> Result<bool, sqlx::Error> {
    has_table(conn, HALF).await
}

/// Statements that remove all that lies in the schema and belongs to no extension.
pub const CLEAR: &str = "
do $clear$
declare
    it record;
begin
    for it in
        select format('drop %s if exists public.%I cascade',
                   case relkind when 'v' then 'view' when 'm' then 'materialized view' when 'S' then 'sequence' else 'table' end,
                   relname) as statement
        from pg_class c
        where relnamespace = 'public'::regnamespace and relkind in ('r', 'p', 'v', 'm', 'S')
            and not exists (select from pg_depend d where d.objid = c.oid and d.deptype in ('e', 'i', 'a')
                and d.classid = 'pg_class'::regclass)
        order by relkind = 'S'
    loop
        execute it.statement;
    end loop;
    for it in
        select format('drop routine if exists public.%I(%s) cascade', proname, pg_get_function_identity_arguments(p.oid))
            as statement
        from pg_proc p
        where pronamespace = 'public'::regnamespace
            and not exists (select from pg_depend d where d.objid = p.oid and d.deptype = 'e'
                and d.classid = 'pg_proc'::regclass)
    loop
        execute it.statement;
    end loop;
end
$clear$;
";

/// Statements that come before those of the archive, in the same transaction.
pub fn before_archive() -> String {
    format!("{CLEAR}\ncreate table public.{HALF} ();\n")
}

/// Removes all that lies in the schema.
pub async fn clear(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    let mut tx = sqlx::Connection::begin(conn).await?;
    raw_sql(CLEAR).execute(&mut *tx).await?;
    tx.commit().await
}

/// Who may do what, as statements: the rights of the serving role, and which functions are shut to everybody else.
pub async fn rights(
    conn: &mut PgConnection,
    app_role: Option<&str>,
) -> Result<Vec<String>, sqlx::Error> {
    query_scalar(
        "with held as (
             select format('%s on %s public.%I', a.privilege_type, case relkind when 'S' then 'sequence' else 'table' end,
                 relname) as what, a.grantee
             from pg_class c, aclexplode(c.relacl) a where relnamespace = 'public'::regnamespace
             union all
             select format('%s (%I) on table public.%I', a.privilege_type, attname, relname), a.grantee
             from pg_attribute t join pg_class c on c.oid = t.attrelid, aclexplode(t.attacl) a
             where relnamespace = 'public'::regnamespace
             union all
             select format('%s on function public.%I(%s)', a.privilege_type, proname,
                 pg_get_function_identity_arguments(p.oid)), a.grantee
             from pg_proc p, aclexplode(p.proacl) a where pronamespace = 'public'::regnamespace
         )
         select format('revoke all on function public.%I(%s) from public', proname,
             pg_get_function_identity_arguments(p.oid)) as statement
         from pg_proc p where pronamespace = 'public'::regnamespace and proacl is not null
             and not exists (select from aclexplode(p.proacl) a where a.grantee = 0)
         union all
         select format('grant %s to %I', what, $1::text) from held
         where grantee = (select oid from pg_roles where rolname = $1::text)
         order by 1 desc",
    )
    .persistent(false)
    .bind(app_role)
    .fetch_all(conn)
    .await
}

/// Gives rights, ends what is over, and takes the sign of a restore away: all of it or nothing.
pub async fn end_restore(conn: &mut PgConnection, rights: &[String]) -> Result<(), sqlx::Error> {
    let mut tx = sqlx::Connection::begin(conn).await?;
    for statement in rights {
        raw_sql(AssertSqlSafe(statement.clone()))
            .execute(&mut *tx)
            .await?;
    }
    for table in ENDED {
        if has_table(&mut tx, table).await? {
            let statement = format!("delete from public.{table}");
            query(AssertSqlSafe(statement))
                .persistent(false)
                .execute(&mut *tx)
                .await?;
        }
    }
    // What was asked for once, such as a mail, was most likely done since: it is not done a second time.
    if has_table(&mut tx, "jobs").await? {
        query("update public.jobs set ended_at = now(), held_until = null where key <> '' and ended_at is null")
            .persistent(false)
            .execute(&mut *tx)
            .await?;
    }
    raw_sql(AssertSqlSafe(format!("drop table public.{HALF}")))
        .execute(&mut *tx)
        .await?;
    tx.commit().await
}
