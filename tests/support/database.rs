//! One PostgreSQL for the whole run, one migrated template, one copy for each test.

use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, LazyLock, OnceLock};

use mustwright::cluster::{self, APP_ROLE, Cluster, OWNER_ROLE};
use mustwright::database::{MIGRATIONS, pool};
use sqlx::postgres::{PgConnectOptions, PgSslMode};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, Executor, PgConnection, PgPool};
use tokio::sync::OnceCell;

use super::relay::Relay;

static SERVER: OnceLock<PgConnectOptions> = OnceLock::new();
static TEMPLATE: OnceCell<String> = OnceCell::const_new();
static COUNT: AtomicU32 = AtomicU32::new(0);

/// The superuser's way in: a server named in MUSTWRIGHT_TEST_DATABASE_URL, else a throw-away cluster of this run.
pub fn server() -> &'static PgConnectOptions {
    SERVER.get_or_init(|| match std::env::var("MUSTWRIGHT_TEST_DATABASE_URL") {
        Ok(url) => url.parse().expect("MUSTWRIGHT_TEST_DATABASE_URL"),
        Err(_) => {
            let cluster = cluster::start_throw_away().expect("a throw-away cluster");
            // It ends with the process.
            let cluster: &'static Cluster = Box::leak(Box::new(cluster));
            cluster.superuser_options("postgres")
        }
    })
}

async fn superuser() -> PgConnection {
    PgConnection::connect_with(server())
        .await
        .expect("the superuser connects")
}

async fn make_template() -> String {
    let mut conn = superuser().await;
    for role in [OWNER_ROLE, APP_ROLE] {
        // Already there in our own cluster, and after an earlier run.
        let _ = conn
            .execute(AssertSqlSafe(format!("create role {role} login")))
            .await;
    }
    let name = format!("mw_template_{}", std::process::id());
    conn.execute(AssertSqlSafe(format!(
        "create database {name} owner {OWNER_ROLE}"
    )))
    .await
    .expect("the template");
    let owner = server()
        .clone()
        .database(&name)
        .username(OWNER_ROLE)
        .options([("mustwright.app_role", APP_ROLE)]);
    let mut owner = PgConnection::connect_with(&owner)
        .await
        .expect("the owner connects");
    MIGRATIONS.run(&mut owner).await.expect("the migrations");
    owner.close().await.expect("the owner leaves");
    conn.close().await.expect("the superuser leaves");
    name
}

/// The database of which each test gets a copy.
pub async fn template() -> &'static str {
    TEMPLATE.get_or_init(make_template).await
}

/// Where the names of databases go that nobody needs any more. They are deleted one after another while other tests run:
/// most of what a test wrote never reaches the disk.
static LEFT: LazyLock<Sender<String>> = LazyLock::new(|| {
    let (to, left) = channel::<String>();
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        for name in left {
            let gone: Result<(), sqlx::Error> = runtime.block_on(async {
                let mut conn = PgConnection::connect_with(server()).await?;
                let delete = format!("drop database {name} with (force)");
                conn.execute(AssertSqlSafe(delete)).await?;
                conn.close().await
            });
            if let Err(fault) = gone {
                eprintln!("{name} stays: {fault}");
            }
        }
    });
    to
});

/// A database of our making, until the last who uses it leaves.
struct Made(String);

impl Drop for Made {
    fn drop(&mut self) {
        // Nobody listens any more when the process ends; the cluster ends with it.
        let _ = LEFT.send(std::mem::take(&mut self.0));
    }
}

/// A migrated database of one test.
pub struct TestDatabase {
    options: PgConnectOptions,
    _made: Option<Arc<Made>>,
}

impl TestDatabase {
    /// Made like another one, or without a table.
    async fn like(template: Option<&str>) -> TestDatabase {
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("mw_{}_{count}", std::process::id());
        let template = template.map(|name| format!("template {name}"));
        let make = format!(
            "create database {name} {} owner {OWNER_ROLE}",
            template.unwrap_or_default()
        );
        let mut conn = superuser().await;
        conn.execute(AssertSqlSafe(make)).await.expect("a database");
        conn.close().await.expect("the superuser leaves");
        TestDatabase {
            options: server().clone().database(&name),
            _made: Some(Arc::new(Made(name))),
        }
    }

    /// Copies the template.
    pub async fn make() -> TestDatabase {
        TestDatabase::like(Some(template().await)).await
    }

    /// A copy of this database, to which nobody may be connected meanwhile.
    pub async fn copy(&self) -> TestDatabase {
        TestDatabase::like(Some(self.name())).await
    }

    /// A database without a table.
    pub async fn empty() -> TestDatabase {
        // The roles come with the template.
        template().await;
        TestDatabase::like(None).await
    }

    /// What it is called.
    pub fn name(&self) -> &str {
        self.options.get_database().expect("a name")
    }

    /// The address for the role that migrates, and the one for the role that serves.
    pub fn urls(&self) -> (String, String) {
        let url = |role: &str| {
            self.options
                .clone()
                .username(role)
                .to_url_lossy()
                .to_string()
        };
        (url(OWNER_ROLE), url(APP_ROLE))
    }

    /// A cluster of its own, for a test that stops it.
    pub async fn alone() -> (TestDatabase, Cluster) {
        let cluster = tokio::task::spawn_blocking(cluster::start_throw_away)
            .await
            .expect("a thread");
        let cluster = cluster.expect("a throw-away cluster");
        let mut owner = PgConnection::connect_with(&cluster.owner_options())
            .await
            .expect("the owner connects");
        MIGRATIONS.run(&mut owner).await.expect("the migrations");
        let database = TestDatabase {
            options: cluster.app_options(),
            _made: None,
        };
        (database, cluster)
    }

    /// The same database, with a network in between that a test can spoil.
    pub async fn over_a_network(&self) -> (TestDatabase, Relay) {
        let relay = Relay::before(self.options.clone()).await;
        let near = match self.options.get_socket() {
            // Without a password: the socket's owner is let in.
            Some(_) => PgConnectOptions::new_without_pgpass().database(self.name()),
            None => self.options.clone(),
        };
        let options = near
            .host("127.0.0.1")
            .port(relay.port)
            .ssl_mode(PgSslMode::Disable);
        let over = TestDatabase {
            options,
            _made: self._made.clone(),
        };
        (over, relay)
    }

    /// The pool of the role that serves.
    pub fn pool(&self, size: u32) -> PgPool {
        pool(&self.options.clone().username(APP_ROLE), size)
    }

    /// A connection of the superuser: for rows as a backup brings them in.
    pub async fn superuser(&self) -> PgConnection {
        PgConnection::connect_with(&self.options)
            .await
            .expect("the superuser connects")
    }

    /// A connection of the role that migrates, which grants to the role that serves.
    pub async fn migrating(&self) -> PgConnection {
        let options = self.options.clone().username(OWNER_ROLE);
        let options = options.options([("mustwright.app_role", APP_ROLE)]);
        PgConnection::connect_with(&options)
            .await
            .expect("the owner connects")
    }

    /// A connection of the role that migrates: what a test changes behind the server's back.
    pub async fn owner(&self) -> PgConnection {
        let options = self.options.clone().username(OWNER_ROLE);
        PgConnection::connect_with(&options)
            .await
            .expect("the owner connects")
    }
}
