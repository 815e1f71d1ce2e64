//! Which database is used, as whom, and how it is made ready: waited for, migrated, pooled.

use std::fmt;
use std::path::Path;
use std::time::{Duration, Instant};

use sqlx::migrate::{MigrateError, Migrator};
use sqlx::postgres::{PgConnectOptions, PgPoolOptions};
use sqlx::{Connection, PgConnection, PgPool};

use crate::cluster::{self, Cluster, ClusterError};
use crate::config::Config;

/// Every migration, embedded.
pub static MIGRATIONS: Migrator = sqlx::migrate!();

/// How long a start waits for a database that is not there yet.
const WAIT: Duration = Duration::from_secs(60);
/// How long a request waits for a connection: on a small and busy machine sixteen who save at once take their turns
/// within it, and a page that says "not right now" still comes while somebody waits for it.
const ACQUIRE: Duration = Duration::from_secs(5);
/// A connection that rested so long is asked whether it lives.
const RESTED: Duration = Duration::from_secs(5);

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
        }
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

    /// Waits for the server, up to a minute, and brings the schema up to date under sqlx's advisory lock: of several
    /// servers starting at once, one migrates.
    pub async fn prepare(&self) -> Result<(), DatabaseError> {
        let mut conn = connect_patiently(&self.owner).await?;
        let migrated = MIGRATIONS.run(&mut conn).await;
        for doubt in cluster::doubts(&mut conn).await.unwrap_or_default() {
            tracing::warn!("{doubt}");
        }
        let _ = conn.close().await;
        migrated.map_err(|cause| match cause {
            MigrateError::VersionMissing(version) => DatabaseError::Newer(version),
            MigrateError::VersionMismatch(version) | MigrateError::Dirty(version) => {
                DatabaseError::Changed(version)
            }
            cause => DatabaseError::Migration(cause),
        })
    }

    /// The pool that serves; connects when first asked.
    pub fn pool(&self, size: u32) -> PgPool {
        pool(&self.app, size)
    }

    /// Stops a private cluster and waits for its end. Blocks.
    pub fn close(self) {
        if let Some(cluster) = self.cluster {
            cluster.stop();
        }
    }
}

fn settings(config: &Config) -> cluster::Settings {
    cluster::Settings {
        data_dir: config.data_dir.clone(),
        bin_dir: config.postgres_bin.clone(),
    }
}

/// A pool whose connections give up in time: a statement after 5 s, a lock after 4 s, an idle transaction after 10 s,
/// an acquire after 5 s. A connection is asked whether it lives only after it has rested.
pub fn pool(options: &PgConnectOptions, size: u32) -> PgPool {
    let options = options.clone().options([
        ("statement_timeout", "5s"),
        ("lock_timeout", "4s"),
        ("idle_in_transaction_session_timeout", "10s"),
        // All of a club fits into memory: a page out of order costs little more than the next one.
        ("random_page_cost", "1.1"),
    ]);
    PgPoolOptions::new()
        .max_connections(size)
        .acquire_timeout(ACQUIRE)
        .idle_timeout(Duration::from_secs(10 * 60))
        .test_before_acquire(false)
        .before_acquire(|conn, rest| {
            Box::pin(async move {
                if rest.idle_for > RESTED {
                    conn.ping().await?;
                }
                Ok(true)
            })
        })
        .connect_lazy_with(options)
}

async fn connect_patiently(options: &PgConnectOptions) -> Result<PgConnection, DatabaseError> {
    let began = Instant::now();
    let mut pause = Duration::from_millis(500);
    loop {
        let cause = match PgConnection::connect_with(options).await {
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
