//! A backup while the server goes on: one moment of the database, described and written down.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use chrono::{DateTime, Utc};
use sqlx::{Connection, PgConnection};
use tokio::fs::{self, File, OpenOptions};

use super::file::{Header, Writer};
use super::{BackupError, Source, programs, store};
use crate::admin;

/// A backup that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    pub file: PathBuf,
    pub bytes: u64,
    pub sha256: String,
    pub header: Header,
}

impl fmt::Display for Made {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "The backup is in {}: {} bytes, sha256 {}",
            self.file.display(),
            self.bytes,
            self.sha256
        )
    }
}

/// Writes the database into a new file: beside it first, so that a file of this name is always whole.
///
/// # Errors
/// Something is there already, another backup is under way, the disk, PostgreSQL's program, the database.
pub async fn backup(
    source: &Source,
    file: &Path,
    now: DateTime<Utc>,
    by_itself: bool,
) -> Result<Made, BackupError> {
    if fs::try_exists(file).await.unwrap_or(true) {
        return Err(BackupError::IsThere(file.to_owned()));
    }
    let mut conn = PgConnection::connect_with(&source.owner).await?;
    if !store::claim(&mut conn).await? {
        return Err(BackupError::UnderWay);
    }
    let mut unfinished = file.as_os_str().to_owned();
    unfinished.push(".unfinished");
    let unfinished = PathBuf::from(unfinished);
    let mut open = OpenOptions::new();
    let opened = open.write(true).create_new(true).mode(0o600);
    let opened = opened.open(&unfinished).await;
    let target = opened.map_err(|cause| match cause.kind() {
        io::ErrorKind::AlreadyExists => BackupError::IsLeft(unfinished.clone()),
        _ => BackupError::Unwritten(unfinished.clone(), cause),
    })?;
    let made = write(source, &mut conn, target, &unfinished, file, now).await;
    if made.is_err() {
        let _ = fs::remove_file(&unfinished).await;
    }
    let made = made?;
    note(&mut conn, &made, by_itself).await;
    let _ = store::release(&mut conn).await;
    let _ = conn.close().await;
    Ok(made)
}

async fn write(
    source: &Source,
    conn: &mut PgConnection,
    target: File,
    unfinished: &Path,
    file: &Path,
    now: DateTime<Utc>,
) -> Result<Made, BackupError> {
    let of_file = |cause| BackupError::Unwritten(unfinished.to_owned(), cause);
    let snapshot = store::open_snapshot(conn).await?;
    let header = described(source, conn, now).await?;
    let mut writer = Writer::begin(target, &header).await.map_err(of_file)?;
    let program = programs::program(&source.config, "pg_dump");
    let mut dump = programs::on_database(&program, &source.config, &source.owner);
    dump.args(["--format=custom", "--no-owner"])
        .arg(format!("--snapshot={snapshot}"))
        .stdout(Stdio::piped());
    let mut dump = dump
        .spawn()
        .map_err(|cause| BackupError::Program(program, cause))?;
    let (out, complaints) = (dump.stdout.take(), dump.stderr.take());
    let taken = async {
        match out {
            Some(mut out) => writer.take(&mut out).await,
            None => Err(io::Error::other("no output")),
        }
    };
    let (taken, said) = tokio::join!(taken, programs::last_words(complaints));
    taken.map_err(of_file)?;
    let failed = |said| BackupError::Failed {
        program: "pg_dump",
        said,
    };
    let ended = dump.wait().await;
    if !ended.map_err(|cause| failed(cause.to_string()))?.success() {
        return Err(failed(said));
    }
    store::close_snapshot(conn).await?;
    let (bytes, sha256) = writer.end().await.map_err(of_file)?;
    give_name(unfinished, file).await?;
    Ok(Made {
        file: file.to_owned(),
        bytes,
        sha256,
        header,
    })
}

async fn described(
    source: &Source,
    conn: &mut PgConnection,
    now: DateTime<Utc>,
) -> Result<Header, BackupError> {
    let facts = store::facts(conn).await?;
    let club = store::club_name(conn).await?;
    Ok(Header {
        club: club.unwrap_or_else(|| source.config.club_name.clone()),
        made_at: now,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        postgres: facts.postgres,
        schema: facts.schema,
        database_bytes: facts.bytes,
        tables: store::tables(conn).await?,
        counters: store::counters(conn).await?,
    })
}

/// The whole file gets its name, where nothing may be, and both are on the disk.
async fn give_name(unfinished: &Path, file: &Path) -> Result<(), BackupError> {
    let of_file = |cause| BackupError::Unwritten(file.to_owned(), cause);
    // A link is made only where nothing is: what came meanwhile is not overwritten.
    match fs::hard_link(unfinished, file).await {
        Ok(()) => fs::remove_file(unfinished).await.map_err(of_file)?,
        Err(cause) if cause.kind() == io::ErrorKind::AlreadyExists => {
            return Err(BackupError::IsThere(file.to_owned()));
        }
        // Some disks know no links.
        Err(_) => fs::rename(unfinished, file).await.map_err(of_file)?,
    }
    let dir = file.parent().filter(|dir| !dir.as_os_str().is_empty());
    let dir = File::open(dir.unwrap_or(Path::new("."))).await;
    dir.map_err(of_file)?.sync_all().await.map_err(of_file)
}

/// Notes in the database that there is a backup. A backup is one also where that fails, as in an older schema.
async fn note(conn: &mut PgConnection, made: &Made, by_itself: bool) {
    let bytes = i64::try_from(made.bytes).unwrap_or(i64::MAX);
    let noted = match by_itself {
        true => admin::store::note_own_backup(conn, made.header.made_at, bytes).await,
        false => admin::store::note_backup(conn, made.header.made_at, bytes).await,
    };
    if let Err(cause) = noted {
        tracing::warn!(%cause, "the backup is made, but the health page will not know of it");
    }
}
