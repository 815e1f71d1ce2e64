//! A backup brought back into an empty club: checked before anything is touched, and then all of it or nothing.

use std::fmt;
use std::io;
use std::process::{ExitStatus, Stdio};
use std::time::Duration;

use sqlx::migrate::Migrate;
use sqlx::{ConnectOptions, Connection, PgConnection};
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWriteExt, copy};
use tokio::process::{Child, ChildStdin, ChildStdout};
use tokio::sync::oneshot;

use super::file::{Checked, Header};
use super::{BackupError, Source, programs, store};
use crate::database::{DatabaseError, MIGRATIONS, connect_patiently, migrate};

/// How often, and after which pause, it is looked again whether others have left the database.
const LEAVING: u32 = 10;
const LEAVING_PAUSE: Duration = Duration::from_millis(200);
/// The room in which an archive's settings stand before its first table.
const PREAMBLE: u64 = 2048;
/// A setting that PostgreSQL 17's programs write and older servers do not know.
const TOO_NEW: &[u8] = b"SET transaction_timeout = 0;\n";

/// A backup that came back.
#[derive(Clone, Debug)]
pub struct Restored {
    pub header: Header,
    /// Migrations that were applied to bring it up to date.
    pub migrations: usize,
}

impl fmt::Display for Restored {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let header = &self.header;
        writeln!(f, "{header}")?;
        if self.migrations > 0 {
            writeln!(
                f,
                "It was brought up to date: {} steps from the schema of Mustwright {}.",
                self.migrations, header.program
            )?;
        }
        f.write_str(
            "All of it came back, row by row. Passwords, second steps and tokens are those of the backup; everybody signs \
             in anew.",
        )
    }
}

impl fmt::Display for Header {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "The backup of {}, made on {} by Mustwright {}:",
            self.club,
            self.made_at.format("%Y-%m-%d at %H:%M UTC"),
            self.program
        )?;
        let told = [
            ("members", "members"),
            ("recipes", "recipes"),
            ("revisions", "revisions"),
            ("batches", "batches"),
            ("batch_entries", "entries in logs"),
            ("batch_pictures", "pictures"),
            ("tastings", "tastings"),
            ("competitions", "competitions"),
        ];
        let told = told.iter().filter_map(|(table, words)| {
            let rows = self.rows(table)?;
            Some(format!("{rows} {words}"))
        });
        let all: i64 = self.tables.iter().map(|table| table.rows).sum();
        let told: Vec<String> = told.collect();
        write!(
            f,
            "{}; {all} rows in {} tables.",
            told.join(", "),
            self.tables.len()
        )
    }
}

/// Refuses a backup whose schema this program does not know.
fn demand_known_schema(header: &Header) -> Result<(), BackupError> {
    if MIGRATIONS.version_exists(header.schema) {
        return Ok(());
    }
    Err(BackupError::NewerSchema {
        program: header.program.clone(),
        schema: header.schema,
    })
}

/// Brings a backup back into an empty club and up to date. While it works, a server that starts waits.
///
/// # Errors
/// The club is not empty or in use, the schema of the backup is a newer one, PostgreSQL's programs, the database. The
/// database is then as empty as it was.
pub async fn restore(source: &Source, backup: &Checked) -> Result<Restored, BackupError> {
    demand_known_schema(&backup.header)?;
    // Of a restore the log tells how it ended, not each statement that took a while.
    let owner = source.owner.clone().disable_statement_logging();
    let mut conn = connect_patiently(&owner).await?;
    conn.lock().await.map_err(DatabaseError::Migration)?;
    let app_role = source.app_role.as_deref();
    let owner = owner.get_username();
    let mut inside = store::inside(&mut conn, app_role.unwrap_or(owner)).await?;
    // Whoever left just now may still be counted.
    for _ in 0..LEAVING {
        if inside.connections == 0 {
            break;
        }
        tokio::time::sleep(LEAVING_PAUSE).await;
        inside = store::inside(&mut conn, app_role.unwrap_or(owner)).await?;
    }
    if inside.members > 0 {
        return Err(BackupError::NotEmpty(inside.members));
    }
    if let Some(foreign) = inside.foreign {
        return Err(BackupError::NotOurs(foreign));
    }
    if inside.connections > 0 {
        return Err(BackupError::InUse(inside.connections));
    }
    let brought = bring(source, &mut conn, backup).await;
    if brought.is_err()
        && let Err(cause) = store::clear(&mut conn).await
    {
        tracing::warn!(%cause, "what came in half-way was not removed; the next restore removes it");
    }
    let _ = conn.close().await;
    brought
}

async fn bring(
    source: &Source,
    conn: &mut PgConnection,
    backup: &Checked,
) -> Result<Restored, BackupError> {
    // Who may do what follows from the migrations, whatever the roles were called where the backup was made.
    store::clear(conn).await?;
    migrate(conn).await?;
    let rights = store::rights(conn, source.app_role.as_deref()).await?;
    fill(source, backup).await?;
    compare(conn, &backup.header).await?;
    migrate(conn).await?;
    let newer = MIGRATIONS.iter().map(|migration| migration.version);
    let migrations = newer.filter(|version| *version > backup.header.schema);
    store::end_restore(conn, &rights).await?;
    Ok(Restored {
        header: backup.header.clone(),
        migrations: migrations.count(),
    })
}

/// Lets `pg_restore` tell what is in the archive and `psql` do it, in one transaction that also empties the schema.
async fn fill(source: &Source, backup: &Checked) -> Result<(), BackupError> {
    let restoring = programs::program(&source.config, "pg_restore");
    let mut teller = programs::bare(&restoring);
    teller.args([
        "--no-owner",
        "--no-privileges",
        "--exit-on-error",
        "--file=-",
    ]);
    teller.stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut teller = teller
        .spawn()
        .map_err(|cause| BackupError::Program(restoring, cause))?;
    let doing = programs::program(&source.config, "psql");
    let mut doer = programs::on_database(&doing, &source.config, &source.owner);
    doer.args(["--no-psqlrc", "--quiet", "--single-transaction", "--file=-"]);
    doer.args(["--set=ON_ERROR_STOP=1"]).stdin(Stdio::piped());
    let mut doer = doer
        .spawn()
        .map_err(|cause| BackupError::Program(doing, cause))?;

    let archive = backup.archive().await;
    let archive = archive.map_err(|cause| BackupError::Unread(backup.path.clone(), cause))?;
    let (to_teller, from_teller) = (teller.stdin.take(), teller.stdout.take());
    let (to_doer, teller_says, doer_says) =
        (doer.stdin.take(), teller.stderr.take(), doer.stderr.take());
    let (undo, undone) = oneshot::channel();
    let ended = async {
        tokio::select! {
            ended = doer.wait() => ended,
            Ok(()) = undone => {
                doer.kill().await?;
                doer.wait().await
            }
        }
    };
    let (fed, told, teller_said, doer_said, done) = tokio::join!(
        feed(archive, to_teller),
        tell(from_teller, to_doer, &mut teller, undo),
        programs::last_words(teller_says),
        programs::last_words(doer_says),
        ended,
    );
    let of = |program: &'static str, said: String| BackupError::Failed { program, said };
    // The first that broke tells why; the other one was killed, or found nobody there.
    match (told, done) {
        (_, Ok(done)) if done.code().is_some_and(|code| code != 0) => Err(of("psql", doer_said)),
        (Ok((told, _)), _) if !told.success() && is_too_new(&teller_said) => {
            Err(BackupError::OldPrograms(backup.header.postgres.clone()))
        }
        (Ok((told, _)), _) if !told.success() => Err(of("pg_restore", teller_said)),
        (_, Ok(done)) if !done.success() => Err(of("psql", doer_said)),
        (Err(cause), _) => Err(of("pg_restore", cause.to_string())),
        (_, Err(cause)) => Err(of("psql", cause.to_string())),
        (Ok(_), Ok(_)) => fed.map_err(|cause| BackupError::Unread(backup.path.clone(), cause)),
    }
}

/// Whether `pg_restore` does not know the format of an archive, which newer programs made.
fn is_too_new(said: &str) -> bool {
    said.contains("unsupported version") && said.contains("in file header")
}

async fn feed(mut archive: impl AsyncRead + Unpin, to: Option<ChildStdin>) -> io::Result<()> {
    let mut to = to.ok_or_else(|| io::Error::other("no input"))?;
    copy(&mut archive, &mut to).await?;
    to.shutdown().await
}

/// Passes on what the teller says. The doer hears the end, and keeps what it did, only if the teller ended well; else it is
/// undone while it still waits for more, which is why its input is handed back.
async fn tell(
    from: Option<ChildStdout>,
    to: Option<ChildStdin>,
    teller: &mut Child,
    undo: oneshot::Sender<()>,
) -> io::Result<(ExitStatus, Option<ChildStdin>)> {
    let (Some(mut from), Some(mut to)) = (from, to) else {
        return Err(io::Error::other("no way between the programs"));
    };
    let passed = pass_on(&mut from, &mut to).await;
    drop(from);
    let ended = teller.wait().await?;
    if passed.is_ok() && ended.success() {
        drop(to);
        return Ok((ended, None));
    }
    let _ = undo.send(());
    Ok((ended, Some(to)))
}

async fn pass_on(from: &mut ChildStdout, to: &mut ChildStdin) -> io::Result<()> {
    to.write_all(store::before_archive().as_bytes()).await?;
    let mut preamble = Vec::new();
    let mut head = (&mut *from).take(PREAMBLE);
    head.read_to_end(&mut preamble).await?;
    to.write_all(&without(&preamble, TOO_NEW)).await?;
    copy(from, to).await?;
    to.flush().await
}

fn without(text: &[u8], part: &[u8]) -> Vec<u8> {
    let found = text.windows(part.len()).position(|window| window == part);
    match found {
        Some(at) => [text.get(..at), text.get(at + part.len()..)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .concat(),
        None => text.to_vec(),
    }
}

/// Holds what came back against what the backup says of itself.
async fn compare(conn: &mut PgConnection, header: &Header) -> Result<(), BackupError> {
    let tables = store::tables(conn).await?;
    let odd = header.tables.iter().find(|table| !tables.contains(table));
    if let Some(table) = odd {
        let there = tables.iter().find(|found| found.name == table.name);
        let odd = match there.map(|found| found.rows) {
            None => "is missing".to_owned(),
            Some(rows) if rows == table.rows => "has other rows".to_owned(),
            Some(rows) => format!("has {rows} rows of {}", table.rows),
        };
        return Err(BackupError::NotWhole(format!("table {} {odd}", table.name)));
    }
    if tables.len() != header.tables.len() {
        return Err(BackupError::NotWhole("there are more tables".to_owned()));
    }
    let counters = store::counters(conn).await?;
    // Numbers go on while a backup is made, so that a sequence may be further, never behind.
    let behind = header.counters.iter().find(|counter| {
        !counters
            .iter()
            .any(|found| found.name == counter.name && found.last >= counter.last)
    });
    match behind {
        Some(counter) => Err(BackupError::NotWhole(format!(
            "the sequence {} is behind",
            counter.name
        ))),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_archive_of_newer_programs_is_told_from_a_broken_one() {
        assert!(is_too_new(
            "pg_restore: error: unsupported version (1.16) in file header"
        ));
        assert!(!is_too_new(
            "pg_restore: error: could not read from input file: end of file"
        ));
    }

    #[test]
    fn a_setting_that_older_servers_do_not_know_is_left_out() {
        let told =
            b"SET lock_timeout = 0;\nSET transaction_timeout = 0;\nSET row_security = off;\n";
        assert_eq!(
            without(told, TOO_NEW),
            b"SET lock_timeout = 0;\nSET row_security = off;\n"
        );
        assert_eq!(without(b"SET x = 1;\n", TOO_NEW), b"SET x = 1;\n");
    }
}
