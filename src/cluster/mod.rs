//! The private PostgreSQL cluster: find the programs, start, watch, stop.

mod account;
mod address;
mod check;
mod child;
mod error;
mod find;
mod make;
mod place;
mod stale;
mod supervise;
mod throw_away;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, Once, PoisonError, Weak};
use std::{env, fs};

use sqlx::postgres::PgConnectOptions;

pub use address::{APP_ROLE, Addresses, OWNER_ROLE, attach};
pub use check::doubts;
pub use error::{ClusterError, SUPPORTED};
pub use find::BIN_VARIABLE;

use place::Place;
use supervise::{Plan, Shared};

/// The connections that a private cluster takes.
const CONNECTIONS: u32 = 100;
/// So many of them at most serve members; the others are for backups, migrations and work in the background.
pub const SERVING: u32 = 80;

/// Where the private cluster lives, and with which programs.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Made when missing; one server at a time may use it.
    pub data_dir: PathBuf,
    /// The one directory to look in for `postgres` and `initdb`; `None` looks at MUSTWRIGHT_POSTGRES_BIN, PATH
    /// and where packages put them.
    pub bin_dir: Option<PathBuf>,
}

/// A running private cluster. It stops when this is stopped or dropped, or when the process ends, however it ends.
#[derive(Debug)]
pub struct Cluster {
    life: Arc<Life>,
    addresses: Addresses,
}

impl Cluster {
    /// For migrations: the owner role.
    pub fn owner_options(&self) -> PgConnectOptions {
        self.addresses.owner_options()
    }

    /// For serving: the role without rights to create, alter or drop.
    pub fn app_options(&self) -> PgConnectOptions {
        self.addresses.app_options()
    }

    /// For tests and maintenance: the superuser, in the database named.
    pub fn superuser_options(&self, database: &str) -> PgConnectOptions {
        self.addresses.superuser_options(database)
    }

    /// Where it listens.
    pub fn addresses(&self) -> &Addresses {
        &self.addresses
    }

    /// The data directory, as an absolute path.
    pub fn data_dir(&self) -> &Path {
        &self.life.dir
    }

    /// The server's process; `None` for the moment between its death and its return.
    pub fn server_pid(&self) -> Option<u32> {
        self.life.shared.server_pid()
    }

    /// Stops the server and waits for its end; a throw-away cluster is removed.
    pub fn stop(self) {
        self.life.end();
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        self.life.end();
    }
}

/// Starts the private cluster and waits until it accepts connections; makes it first where there is none.
/// Blocks: call it on a thread that may block.
pub fn start(settings: Settings) -> Result<Cluster, ClusterError> {
    begin(&settings, true)
}

/// Starts a cluster in a temporary directory, for demonstrations and tests: quick, not proof against power cuts,
/// removed when it stops or the process exits.
pub fn start_throw_away() -> Result<Cluster, ClusterError> {
    start_throw_away_in(&env::temp_dir())
}

/// The same in a folder that its account may enter: the temporary directory may be small, or in memory.
pub fn start_throw_away_in(folder: &Path) -> Result<Cluster, ClusterError> {
    throw_away::sweep(folder);
    let dir = throw_away::new_dir(folder);
    let started = begin(
        &Settings {
            data_dir: dir.clone(),
            bin_dir: None,
        },
        false,
    );
    if started.is_err() {
        let _ = fs::remove_dir_all(dir);
    }
    started
}

/// The data directory where none is asked for: below the XDG data home, or the home; /var/lib/mustwright for root and
/// for accounts of services, which have no home of their own.
pub fn default_data_dir(is_root: bool) -> PathBuf {
    let absolute = |name: &str| {
        env::var_os(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    let home =
        || absolute("HOME").filter(|home| home != Path::new("/") && home != Path::new("/root"));
    let data_home =
        || absolute("XDG_DATA_HOME").or_else(|| home().map(|home| home.join(".local/share")));
    match if is_root { None } else { data_home() } {
        Some(data) => data.join("mustwright"),
        None => PathBuf::from("/var/lib/mustwright"),
    }
}

/// Whether we run as root, which PostgreSQL does not.
pub fn is_root() -> bool {
    child::effective_uid() == 0
}

/// Bytes that are free on the disk of `dir`, and all of them; `None` when it does not tell.
pub fn free_space(dir: &Path) -> Option<(u64, u64)> {
    child::disk(dir)
}

/// One of PostgreSQL's own programs, such as `pg_dump`: of the installation that serves these settings, else the one in
/// the PATH.
pub fn program(settings: &Settings, name: &str) -> PathBuf {
    let place = Place {
        dir: settings.data_dir.clone(),
    };
    let made_by = place.made_by().ok().flatten();
    let found = find::programs(
        settings.bin_dir.as_deref(),
        &place.data(),
        made_by.as_deref(),
        &place.known_programs(),
    );
    let beside = found.ok().map(|programs| programs.bin.join(name));
    beside
        .filter(|program| program.is_file())
        .unwrap_or_else(|| PathBuf::from(name))
}

fn begin(settings: &Settings, durable: bool) -> Result<Cluster, ClusterError> {
    let place = Place::make(&settings.data_dir)?;
    let lock = place.take_lock()?;
    // Of an earlier run: nobody shall attach to it.
    let _ = fs::remove_file(place.address());
    let data = place.data();
    let account = account::to_run_under(&data)?;
    if data.exists() {
        account::check_owner(&data, account.as_ref())?;
    }
    let made_by = place.made_by()?;
    let programs = find::programs(
        settings.bin_dir.as_deref(),
        &data,
        made_by.as_deref(),
        &place.known_programs(),
    )?;
    account::warn_of_company(account.as_ref());
    if made_by.is_none() {
        make::cluster(&place, &programs, account.as_ref(), durable)?;
    }
    if durable && is_fleeting(&place.dir) {
        let dir = place.dir.display();
        tracing::warn!(
            "{dir} may be emptied when the machine restarts: choose another data directory"
        );
    }
    let socket_dir = place.socket_dir(account.as_ref())?;
    tracing::debug!(
        "PostgreSQL {} of {}",
        programs.major,
        programs.bin.display()
    );
    let dir = place.dir.clone();
    let plan = Plan {
        place,
        programs,
        account,
        socket_dir: socket_dir.clone(),
        durable,
        lock,
    };
    let shared = supervise::begin(plan)?;
    let server_pid = shared.server_pid().unwrap_or_default();
    let life = Arc::new(Life {
        shared,
        dir,
        throw_away: !durable,
    });
    end_at_exit(&life);
    Ok(Cluster {
        life,
        addresses: Addresses::new(socket_dir, server_pid),
    })
}

fn is_fleeting(dir: &Path) -> bool {
    ["/tmp", "/dev/shm", "/run"]
        .into_iter()
        .any(|fleeting| dir.starts_with(fleeting))
}

/// What must end with a cluster.
struct Life {
    shared: Arc<Shared>,
    dir: PathBuf,
    throw_away: bool,
}

impl std::fmt::Debug for Life {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Life")
            .field("dir", &self.dir)
            .finish_non_exhaustive()
    }
}

impl Life {
    /// May be called again.
    fn end(&self) {
        if !self.shared.stop() {
            tracing::error!(
                "the private PostgreSQL in {} did not end",
                self.dir.display()
            );
        } else if self.throw_away {
            let _ = fs::remove_dir_all(&self.dir);
        }
    }
}

static LIVING: Mutex<Vec<Weak<Life>>> = Mutex::new(Vec::new());

/// Those that are kept in a static, as tests do, are never dropped: they end when the process exits.
fn end_at_exit(life: &Arc<Life>) {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| child::at_exit(end_all));
    let mut living = LIVING.lock().unwrap_or_else(PoisonError::into_inner);
    living.retain(|life| life.strong_count() > 0);
    living.push(Arc::downgrade(life));
}

extern "C" fn end_all() {
    let living = std::mem::take(&mut *LIVING.lock().unwrap_or_else(PoisonError::into_inner));
    for life in living.into_iter().filter_map(|life| life.upgrade()) {
        life.end();
    }
}
