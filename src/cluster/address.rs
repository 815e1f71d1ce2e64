//! How to connect to a private cluster: the socket, the roles, and the record that lets others attach.

use std::os::unix::net::UnixStream;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use std::{fs, io, thread};

use sqlx::postgres::{PgConnectOptions, PgSslMode};

use super::place::Place;

/// Part of the socket's name only: nothing listens on TCP.
pub(super) const PORT: u16 = 5432;
/// The database of the application.
pub(super) const DATABASE: &str = "mustwright";
/// Owns the database and migrates it.
pub const OWNER_ROLE: &str = "mustwright_owner";
/// Serves: may not create, alter or drop anything.
pub const APP_ROLE: &str = "mustwright_app";
/// The role that `initdb` makes.
pub(super) const SUPERUSER: &str = "postgres";

/// How long `attach` waits for a server that is starting or restarting.
const ATTACH_PATIENCE: Duration = Duration::from_secs(10);

/// Where a private cluster listens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Addresses {
    socket_dir: PathBuf,
    port: u16,
    server_pid: u32,
}

impl Addresses {
    pub(super) fn new(socket_dir: PathBuf, server_pid: u32) -> Self {
        Self {
            socket_dir,
            port: PORT,
            server_pid,
        }
    }

    /// For migrations: the owner role, with the setting that their grants read.
    pub fn owner_options(&self) -> PgConnectOptions {
        self.options(OWNER_ROLE, DATABASE)
            .options([("mustwright.app_role", APP_ROLE)])
    }

    /// For serving.
    pub fn app_options(&self) -> PgConnectOptions {
        self.options(APP_ROLE, DATABASE)
    }

    /// For tests and maintenance: the superuser, in the database named.
    pub fn superuser_options(&self, database: &str) -> PgConnectOptions {
        self.options(SUPERUSER, database)
    }

    /// The directory of the socket.
    pub fn socket_dir(&self) -> &Path {
        &self.socket_dir
    }

    /// The port in the socket's name.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// The server's process when this was recorded; a restart changes it.
    pub fn server_pid(&self) -> u32 {
        self.server_pid
    }

    fn options(&self, role: &str, database: &str) -> PgConnectOptions {
        PgConnectOptions::new_without_pgpass()
            .socket(&self.socket_dir)
            .port(self.port)
            .username(role)
            .database(database)
            .application_name("mustwright")
            .ssl_mode(PgSslMode::Disable)
    }

    pub(super) fn record(&self, path: &Path) -> io::Result<()> {
        let text = format!(
            "socket={}\nport={}\nserver={}\n",
            self.socket_dir.display(),
            self.port,
            self.server_pid
        );
        let unfinished = path.with_extension("new");
        fs::write(&unfinished, text)?;
        fs::rename(unfinished, path)
    }

    fn recorded(path: &Path) -> Option<Self> {
        let text = fs::read_to_string(path).ok()?;
        let value = |name: &str| {
            text.lines()
                .find_map(|line| line.strip_prefix(name)?.strip_prefix('='))
        };
        Some(Self {
            socket_dir: PathBuf::from(value("socket")?),
            port: value("port")?.parse().ok()?,
            server_pid: value("server")?.parse().ok()?,
        })
    }

    fn answers(&self) -> bool {
        UnixStream::connect(socket_file(&self.socket_dir, self.port)).is_ok()
    }
}

/// The socket's path.
pub(super) fn socket_file(dir: &Path, port: u16) -> PathBuf {
    dir.join(format!(".s.PGSQL.{port}"))
}

/// The private cluster that another process runs in this data directory, if any; waits for one that is starting.
pub fn attach(data_dir: &Path) -> Option<Addresses> {
    let place = Place {
        dir: data_dir.to_owned(),
    };
    let patience = Instant::now() + ATTACH_PATIENCE;
    while place.is_locked() {
        if let Some(addresses) = Addresses::recorded(&place.address()).filter(Addresses::answers) {
            return Some(addresses);
        }
        if Instant::now() > patience {
            break;
        }
        thread::sleep(Duration::from_millis(20));
    }
    None
}
