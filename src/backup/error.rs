//! Why a backup was not made, not read or not brought back: each reason is one line that a keeper can act on.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::cluster::ClusterError;
use crate::database::DatabaseError;

/// Why a backup was not made, not read or not brought back.
#[derive(Debug, Error)]
pub enum BackupError {
    #[error("{} is there already: name a new file", .0.display())]
    IsThere(PathBuf),
    #[error("{} is left from a backup that did not end: remove it, if no other backup is under way", .0.display())]
    IsLeft(PathBuf),
    #[error("another backup of this club is under way: try again when it has ended")]
    UnderWay,
    #[error("cannot write {}: {}", .0.display(), .1)]
    Unwritten(PathBuf, io::Error),
    #[error("not enough room in {}: {free} MB are free, and a backup may take {needed} MB; make room, or set MUSTWRIGHT_BACKUP_DIR to a larger disk", .dir.display())]
    NoRoom {
        dir: PathBuf,
        /// MB that are free.
        free: u64,
        /// MB that must be free.
        needed: u64,
    },
    #[error("cannot run {}: {}; it comes with PostgreSQL's client programs", .0.display(), .1)]
    Program(PathBuf, io::Error),
    #[error("{program} did not do its work: {said}")]
    Failed {
        program: &'static str,
        /// The last that it said.
        said: String,
    },
    #[error(
        "PostgreSQL's client programs here are older than those that made this backup (beside PostgreSQL {0}): use those of the machine that made it, or of the newest major"
    )]
    OldPrograms(String),
    #[error("cannot read {}: {}", .0.display(), .1)]
    Unread(PathBuf, io::Error),
    #[error("{} is no backup of Mustwright", .0.display())]
    NoBackup(PathBuf),
    #[error("{} is a bare archive of pg_dump, without a checksum: bring it back with pg_restore, as the README says", .0.display())]
    BareArchive(PathBuf),
    #[error("{} was made by a newer Mustwright: use that version or a newer one", .0.display())]
    NewerKind(PathBuf),
    #[error(
        "the backup was made by a newer Mustwright ({program}, migration {schema}): use that version or a newer one"
    )]
    NewerSchema { program: String, schema: i64 },
    #[error("{} is damaged: its checksum is not that of its contents; take another backup", .0.display())]
    Damaged(PathBuf),
    #[error(
        "the club is not empty: it has {0} members; a backup comes back into an empty one only (a new data directory, or a new database)"
    )]
    NotEmpty(i64),
    #[error("the database is not empty: it holds {0}, which is not of Mustwright")]
    NotOurs(String),
    #[error("the club is in use ({0} connections): stop the server first")]
    InUse(i64),
    #[error("what came back is not what the backup says of itself: {0}; nothing was kept")]
    NotWhole(String),
    #[error("there is no backup in {}", .0.display())]
    NoneThere(PathBuf),
    #[error("MUSTWRIGHT_BACKUP_DIR names no folder with backups: name the file")]
    NoDir,
    #[error("the trial of the newest backup: {0}")]
    Tried(String),
    #[error("{0}")]
    Cluster(#[from] ClusterError),
    #[error("{0}")]
    Database(DatabaseError),
    #[error("the database: {0}")]
    Store(#[from] sqlx::Error),
}

impl From<DatabaseError> for BackupError {
    fn from(cause: DatabaseError) -> BackupError {
        BackupError::Database(cause)
    }
}
