//! Why the private PostgreSQL did not start: each reason is one line that a keeper can act on.

use std::io;
use std::ops::RangeInclusive;
use std::path::PathBuf;

/// The majors of PostgreSQL that Mustwright works with.
pub const SUPPORTED: RangeInclusive<u32> = 14..=17;

/// How to come by PostgreSQL, and the ways without its programs on this machine.
const REMEDY: &str = "install it (Debian and Ubuntu: apt install postgresql; Fedora: dnf install postgresql-server \
                      postgresql-contrib; macOS: brew install postgresql@17), or set DATABASE_URL to a server you \
                      have, or use docker/compose.yaml";

/// A reason why the private PostgreSQL could not be started or stopped.
#[derive(Debug, thiserror::Error)]
pub enum ClusterError {
    /// No directory with both `postgres` and `initdb` was found.
    #[error("no PostgreSQL programs found{looked}: {REMEDY}")]
    NoPrograms {
        /// Empty, or " in DIR" where one directory was asked for.
        looked: String,
    },
    /// Programs were found, none of a supported major.
    #[error("found {found}, but Mustwright works with PostgreSQL {} to {}: {REMEDY}", SUPPORTED.start(), SUPPORTED.end())]
    UnsupportedPrograms {
        /// What was found, as "PostgreSQL 12 in DIR".
        found: String,
    },
    /// The data were made by a major that is not installed.
    #[error(
        "the data in {} were made by PostgreSQL {made_by}, but found {found}: install the programs of PostgreSQL \
         {made_by} beside it; to move to the newer one, dump with the old programs and restore into a new data directory",
        data.display()
    )]
    OtherMajor {
        /// The PostgreSQL data directory.
        data: PathBuf,
        /// The major named in its PG_VERSION.
        made_by: String,
        /// What was found, as "PostgreSQL 15 in DIR".
        found: String,
    },
    /// Another server holds the lock of the data directory.
    #[error("another Mustwright server ({holder}) already uses the data directory {}", dir.display())]
    Locked {
        /// The data directory.
        dir: PathBuf,
        /// "process 123", or "unknown process".
        holder: String,
    },
    /// Some process still works in the PostgreSQL data directory.
    #[error("process {pid} still works in {}: end it, then start again", data.display())]
    InUse {
        /// The PostgreSQL data directory.
        data: PathBuf,
        /// One of the processes.
        pid: u32,
    },
    /// The account of the private PostgreSQL may not pass through a parent directory.
    #[error(
        "the account {account} may not enter {}, which leads to {}: choose another data directory, for example \
         /var/lib/mustwright, or let it in with chmod o+x",
        dir.display(), wanted.display()
    )]
    NotEnterable {
        /// The account that PostgreSQL runs under.
        account: String,
        /// The directory that is shut.
        dir: PathBuf,
        /// What lies behind it.
        wanted: PathBuf,
    },
    /// Started as root, and no other account exists.
    #[error(
        "PostgreSQL does not run as root, and no account postgres, mustwright or nobody exists: make one \
         (useradd --system postgres), or start Mustwright under an ordinary account"
    )]
    NoAccount,
    /// The user id has no line in the list of accounts; `initdb` refuses that.
    #[error(
        "the user id {uid} has no line in /etc/passwd, and PostgreSQL's initdb wants one: add a line, or run under an \
         account that has one (the image of docker/Dockerfile has 10001)"
    )]
    NoPasswdLine {
        /// The effective user id.
        uid: u32,
    },
    /// Directory of another account.
    #[error("{} belongs to user id {owner}, but PostgreSQL would run as user id {uid}: chown it, or choose another", dir.display())]
    ForeignOwner {
        /// The directory.
        dir: PathBuf,
        /// Whose it is.
        owner: u32,
        /// Who we are.
        uid: u32,
    },
    /// One of PostgreSQL's programs failed; its last words are kept.
    #[error("{program} failed: {said}")]
    Program {
        /// Its name and what it did.
        program: String,
        /// The end of what it wrote, on one line.
        said: String,
    },
    /// A file operation failed.
    #[error("cannot {what} {}: {source}", path.display())]
    Files {
        /// A verb.
        what: &'static str,
        /// On what.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// Stopped while starting.
    #[error("the private PostgreSQL was stopped while it started")]
    Stopped,
}

impl ClusterError {
    /// For `map_err` on file operations.
    pub(super) fn files(
        what: &'static str,
        path: impl Into<PathBuf>,
    ) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |source| Self::Files { what, path, source }
    }
}
