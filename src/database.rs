//! Which database is used, as whom, and how it is made ready: waited for, migrated, pooled.

mod address;
mod store;

pub use store::is_there;

use std::fmt;
use std::path::Path;
use std::time::{Duration, Instant};

use sqlx::migrate::{Migrate, MigrateError, Migrator};
use sqlx::postgres::{PgConnectOptions, PgPoolOptions};
use sqlx::{Connection, PgConnection, PgPool};

use crate::backup;
use crate::cluster::{self, Cluster, ClusterError};
use crate::config::Config;

/// Every migration, embedded.
pub static MIGRATIONS: Migrator = sqlx::migrate!();

/// Migrations that were released in an earlier wording too: their number, and the checksum of that. What the wordings differ
/// in is made good by a later migration.
pub const REWORDED: &[(i64, [u8; 48])] = &[(
    20_261_128_223_000,
    [
        0xff, 0x9f, 0xc0, 0xb5, 0x96, 0x41, 0x69, 0x97, 0xd4, 0x9b, 0x7c, 0x18, 0xd2, 0xe5, 0xb3,
        0x73, 0x07, 0xa1, 0x68, 0x1f, 0x4c, 0xc2, 0x61, 0xdd, 0x4f, 0xed, 0xe5, 0x5e, 0x22, 0x2c,
        0x98, 0x84, 0x3b, 0x09, 0x64, 0xdf, 0x6e, 0xc9, 0x35, 0x4c, 0xe1, 0x04, 0xcc, 0xce, 0xe2,
        0xff, 0x7c, 0x0a,
    ],
)];

/// How long a start waits for a database that is not there yet.
const WAIT: Duration = Duration::from_secs(60);
/// How long a request waits for a connection: on a small and busy machine sixteen who save at once take their turns
/// within it, and a page that says "not right now" still comes while somebody waits for it.
const ACQUIRE: Duration = Duration::from_secs(5);
/// A connection that rested so long is asked whether it lives.
const RESTED: Duration = Duration::from_secs(5);
/// How long it may take to say so, and how long one that comes back from over the network may take to be ready again.
/// A connection whose other end went away without a word would else keep its place for the quarter of an hour after
/// which the system gives it up.
const ANSWER: Duration = Duration::from_secs(2);
/// How long one try to connect may take at the start.
const ONE_TRY: Duration = Duration::from_secs(10);

/// A database at hand; a private cluster stops when this is dropped.
#[derive(Debug)]
pub struct Database {
    owner: PgConnectOptions,
    app: PgConnectOptions,
    place: String,
    cluster: Option<Cluster>,
}

/// Why a database could not be made ready. Each message is one clear line.
#[derive(Debug)]
pub enum DatabaseError {
    /// The private cluster does not start.
    Cluster(ClusterError),
    /// The server does not answer or does not let us in.
    Unreachable(sqlx::Error),
    /// The schema has a migration that this program does not know.
    Newer(i64),
    /// A migration was changed after it was applied, or ended half-way.
    Changed(i64),
    /// A migration failed; nothing of it was applied.
    Migration(MigrateError),
    /// A restore was killed before its end.
    HalfRestored,
}

impl fmt::Display for DatabaseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DatabaseError::Cluster(cause) => cause.fmt(f),
            DatabaseError::Unreachable(cause) => {
                write!(f, "the database cannot be reached: {cause}")
            }
            DatabaseError::Newer(version) => write!(
                f,
                "the database was used by a newer Mustwright (migration {version}): start that version, or restore a \
                 backup made before the upgrade"
            ),
            DatabaseError::Changed(version) => write!(
                f,
                "migration {version} is not the one that made this database: restore a backup, or start the version \
                 that made it"
            ),
            DatabaseError::Migration(cause) => {
                write!(f, "the database could not be brought up to date: {cause}")
            }
            DatabaseError::HalfRestored => f.write_str(
                "a backup was being restored into this database and that did not end: run mustwright restore again",
            ),
        }
    }
}

impl From<MigrateError> for DatabaseError {
    fn from(cause: MigrateError) -> DatabaseError {
        match cause {
            MigrateError::VersionMissing(version) => DatabaseError::Newer(version),
            MigrateError::VersionMismatch(version) | MigrateError::Dirty(version) => {
                DatabaseError::Changed(version)
            }
            cause => DatabaseError::Migration(cause),
        }
    }
}

impl From<sqlx::Error> for DatabaseError {
    fn from(cause: sqlx::Error) -> DatabaseError {
        DatabaseError::Unreachable(cause)
    }
}

impl std::error::Error for DatabaseError {}

impl Database {
    /// The database of the settings: DATABASE_URL, or the private cluster, started here. Blocks.
    pub fn open(config: &Config) -> Result<Database, DatabaseError> {
        match Database::outside(config)? {
            Some(database) => Ok(database),
            None => Database::of_cluster(
                cluster::start(settings(config)).map_err(DatabaseError::Cluster)?,
            ),
        }
    }

    /// The database of the settings, also while a server runs on it: attaches to its private cluster. Blocks.
    pub fn attach(config: &Config) -> Result<Database, DatabaseError> {
        if let Some(database) = Database::outside(config)? {
            return Ok(database);
        }
        match cluster::attach(&config.data_dir) {
            Some(addresses) => Ok(Database {
                owner: addresses.owner_options(),
                app: addresses.app_options(),
                place: config.data_dir.display().to_string(),
                cluster: None,
            }),
            None => Database::open(config),
        }
    }

    /// A cluster of its own that is gone at the end. Blocks.
    pub fn throw_away() -> Result<Database, DatabaseError> {
        Database::of_cluster(cluster::start_throw_away().map_err(DatabaseError::Cluster)?)
    }

    fn outside(config: &Config) -> Result<Option<Database>, DatabaseError> {
        let Some(url) = &config.database_url else {
            return Ok(None);
        };
        let read = |url: &str| {
            let (url, unknown) = address::of_known(url);
            if unknown > 0 {
                tracing::warn!(
                    unknown,
                    "parameters in the address of the database that are not known are left out"
                );
            }
            url.parse::<PgConnectOptions>()
                .map_err(DatabaseError::Unreachable)
        };
        let app = read(url)?;
        let owner = match &config.migrate_database_url {
            Some(url) => read(url)?.options([("mustwright.app_role", app.get_username())]),
            None => app.clone(),
        };
        let place = format!(
            "the database {} at {}",
            app.get_database().unwrap_or("of this account"),
            app.get_host()
        );
        Ok(Some(Database {
            owner,
            app,
            place,
            cluster: None,
        }))
    }

    fn of_cluster(cluster: Cluster) -> Result<Database, DatabaseError> {
        Ok(Database {
            owner: cluster.owner_options(),
            app: cluster.app_options(),
            place: cluster.data_dir().display().to_string(),
            cluster: Some(cluster),
        })
    }

    /// Where the data is, in words.
    pub fn place(&self) -> &str {
        &self.place
    }

    /// Where the data lies, if the database is a private one that we started.
    pub fn data_dir(&self) -> Option<&Path> {
        self.cluster.as_ref().map(Cluster::data_dir)
    }

    /// How the owner of the tables connects.
    pub fn owner_options(&self) -> &PgConnectOptions {
        &self.owner
    }

    /// The role that serves, where it is another one than the owner.
    pub fn app_role(&self) -> Option<&str> {
        let app = self.app.get_username();
        (app != self.owner.get_username()).then_some(app)
    }

    /// Waits for the server, up to a minute, and brings the schema up to date under sqlx's advisory lock: of several
    /// servers starting at once, one migrates.
    pub async fn prepare(&self) -> Result<(), DatabaseError> {
        let mut conn = connect_patiently(&self.owner).await?;
        // Whoever restores a backup holds the same lock: its end is waited for.
        conn.lock().await?;
        if backup::store::is_half_restored(&mut conn).await? {
            return Err(DatabaseError::HalfRestored);
        }
        let migrated = migrate(&mut conn).await;
        for doubt in cluster::doubts(&mut conn).await.unwrap_or_default() {
            tracing::warn!("{doubt}");
        }
        let _ = conn.close().await;
        migrated
    }

    /// The pool that serves; connects when first asked. To a private cluster it has no more connections than that can spare.
    pub fn pool(&self, size: u32) -> PgPool {
        let size = match self.cluster {
            Some(_) => size.min(cluster::SERVING),
            None => size,
        };
        pool(&self.app, size)
    }

    /// Stops a private cluster and waits for its end. Blocks.
    pub fn close(self) {
        if let Some(cluster) = self.cluster {
            cluster.stop();
        }
    }
}

/// Where a private cluster lives and with whose programs.
pub(crate) fn settings(config: &Config) -> cluster::Settings {
    cluster::Settings {
        data_dir: config.data_dir.clone(),
        bin_dir: config.postgres_bin.clone(),
    }
}

/// Applies the migrations that are missing. As `Migrator::run`, of which the compiler cannot tell that it may be sent to
/// another thread.
pub(crate) async fn migrate(conn: &mut PgConnection) -> Result<(), DatabaseError> {
    for (version, earlier) in REWORDED {
        let present = MIGRATIONS.iter().find(|known| known.version == *version);
        if let Some(present) = present {
            store::take_wording(conn, *version, earlier, &present.checksum).await?;
        }
    }
    Ok(MIGRATIONS.run_direct(None, conn, false).await?)
}

/// A pool whose connections give up in time: a statement after 5 s, a lock after 4 s, an idle transaction after 10 s,
/// an acquire after 5 s. A connection is asked whether it lives after it has rested, and one over a network also when it comes back,
/// and then whether its server still is the one that takes writes.
pub fn pool(options: &PgConnectOptions, size: u32) -> PgPool {
    let options = options.clone().options([
        ("statement_timeout", "5s"),
        ("lock_timeout", "4s"),
        ("idle_in_transaction_session_timeout", "10s"),
        // All of a club fits into memory: a page out of order costs little more than the next one.
        ("random_page_cost", "1.1"),
    ]);
    let is_far = options.get_socket().is_none() && !options.get_host().starts_with('/');
    PgPoolOptions::new()
        .max_connections(size)
        .acquire_timeout(ACQUIRE)
        .idle_timeout(Duration::from_secs(10 * 60))
        .test_before_acquire(false)
        .before_acquire(|conn, rest| {
            Box::pin(async move {
                if rest.idle_for > RESTED {
                    answers(conn).await?;
                }
                Ok(true)
            })
        })
        .after_release(move |conn, _| {
            Box::pin(async move {
                match is_far {
                    true => in_time(ANSWER, store::takes_writes(conn)).await,
                    false => Ok(true),
                }
            })
        })
        .connect_lazy_with(options)
}

/// Fails when a connection does not answer in time; it is closed then, and another one made.
async fn answers(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    in_time(ANSWER, conn.ping()).await
}

async fn in_time<T>(
    patience: Duration,
    asked: impl Future<Output = Result<T, sqlx::Error>>,
) -> Result<T, sqlx::Error> {
    let answered = tokio::time::timeout(patience, asked).await;
    answered.unwrap_or_else(|_| Err(sqlx::Error::Io(std::io::ErrorKind::TimedOut.into())))
}

/// Connects as soon as the server is there, within a minute.
pub(crate) async fn connect_patiently(
    options: &PgConnectOptions,
) -> Result<PgConnection, DatabaseError> {
    let began = Instant::now();
    let mut pause = Duration::from_millis(500);
    loop {
        let cause = match in_time(ONE_TRY, PgConnection::connect_with(options)).await {
            Ok(conn) => return Ok(conn),
            Err(cause) => cause,
        };
        if !may_come(&cause) || began.elapsed() + pause > WAIT {
            return Err(DatabaseError::Unreachable(cause));
        }
        tracing::warn!(%cause, "the database is not there yet; trying again in {:.1} s", pause.as_secs_f64());
        tokio::time::sleep(pause).await;
        pause = (pause * 2).min(Duration::from_secs(8));
    }
}

/// Whether a server that gave this error may let us in soon: it is away, starting, full, or about to be filled.
fn may_come(cause: &sqlx::Error) -> bool {
    match cause {
        sqlx::Error::Io(_) => true,
        sqlx::Error::Database(told) => told
            .code()
            .is_some_and(|code| ["57P03", "53300", "3D000"].contains(&&*code)),
        _ => false,
    }
}
