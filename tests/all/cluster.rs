//! The private PostgreSQL: started, killed in every way, refused with one clear line.

use std::fs::{self, File, Permissions};
use std::io::{BufRead, BufReader, Read, Write};
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::thread;
use std::time::{Duration, Instant, SystemTime};

use mustwright::cluster::{self, Cluster, ClusterError, Settings};
use sqlx::postgres::PgConnectOptions;
use sqlx::{AssertSqlSafe, Connection, PgConnection};
use tempfile::TempDir;

mod kills;
mod refusals;
mod starts;

/// A directory that every account may enter: the server of a root's test runs under another one.
fn a_room() -> TempDir {
    let room = tempfile::tempdir().unwrap();
    fs::set_permissions(room.path(), Permissions::from_mode(0o755)).unwrap();
    room
}

fn settings(data_dir: &Path) -> Settings {
    Settings {
        data_dir: data_dir.to_owned(),
        bin_dir: None,
    }
}

fn started(data_dir: &Path) -> Cluster {
    cluster::start(settings(data_dir)).unwrap_or_else(|fault| panic!("{fault}"))
}

/// A cluster whose making was left to an earlier one: a copy of that, started.
fn started_from_copy(data_dir: &Path) -> Cluster {
    static KEPT: OnceLock<(Cluster, PathBuf)> = OnceLock::new();
    let (_, original) = KEPT.get_or_init(|| {
        let room = cluster::start_throw_away().unwrap();
        let original = room.data_dir().join("original");
        started(&original).stop();
        (room, original)
    });
    fs::create_dir_all(data_dir).unwrap();
    let copied = Command::new("cp")
        .arg("-a")
        .arg(original.join("data"))
        .arg(data_dir)
        .status()
        .unwrap();
    assert!(copied.success());
    started(data_dir)
}

fn refused(settings: Settings) -> ClusterError {
    match cluster::start(settings) {
        Ok(_) => panic!("it started"),
        Err(fault) => {
            assert!(
                !fault.to_string().contains('\n'),
                "more than one line: {fault}"
            );
            fault
        }
    }
}

fn blocking<T>(work: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(work)
}

fn execute(options: &PgConnectOptions, statements: &str) -> Result<(), sqlx::Error> {
    blocking(async {
        let mut connection = PgConnection::connect_with(options).await?;
        sqlx::raw_sql(AssertSqlSafe(statements.to_owned()))
            .execute(&mut connection)
            .await?;
        connection.close().await
    })
}

fn text(options: &PgConnectOptions, query: &str) -> Result<String, sqlx::Error> {
    blocking(async {
        let mut connection = PgConnection::connect_with(options).await?;
        let (text,): (String,) = sqlx::query_as(AssertSqlSafe(query.to_owned()))
            .fetch_one(&mut connection)
            .await?;
        connection.close().await?;
        Ok(text)
    })
}

/// A table of the owner's that the serving role may read and append to.
fn make_table(cluster: &Cluster) {
    let statements =
        "create table musts (name text not null); grant select, insert on musts to mustwright_app";
    execute(&cluster.owner_options(), statements).unwrap();
}

fn insert(cluster: &Cluster, name: &str) {
    execute(
        &cluster.app_options(),
        &format!("insert into musts values ('{name}')"),
    )
    .unwrap();
}

fn musts(cluster: &Cluster) -> Result<String, sqlx::Error> {
    text(
        &cluster.app_options(),
        "select coalesce(string_agg(name, ',' order by name), '') from musts",
    )
}

fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let patience = Instant::now() + Duration::from_secs(30);
    loop {
        if let Some(seen) = look() {
            return seen;
        }
        assert!(Instant::now() < patience, "waited in vain: {what}");
        thread::sleep(Duration::from_millis(5));
    }
}

/// Only ever given the ids of processes that the test itself, or its cluster, started.
fn kill(pid: u32) {
    let killed = Command::new("sh")
        .args(["-c", "kill -9 \"$1\"", "sh", &pid.to_string()])
        .status()
        .unwrap();
    assert!(killed.success());
}

/// A zombie counts as gone: it has no working directory any more.
fn is_gone(pid: u32) -> bool {
    fs::metadata(format!("/proc/{pid}/cwd")).is_err()
}

fn status_line(pid: u32, name: &str) -> Vec<String> {
    let status = fs::read_to_string(format!("/proc/{pid}/status")).unwrap();
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix(name))
        .unwrap();
    line.trim_start_matches(':')
        .split_whitespace()
        .map(str::to_owned)
        .collect()
}

/// Another process with a cluster of its own: this test program, told to run nothing but [`act`].
struct Other {
    child: Child,
    words: BufReader<std::process::ChildStdout>,
}

impl Other {
    fn start(what: &str, data_dir: &Path, prepare: impl FnOnce(&mut Command)) -> Self {
        let mut command = Command::new(std::env::current_exe().unwrap());
        prepare(&mut command);
        command
            .args(["--exact", "cluster::act", "--ignored", "--nocapture"])
            .env("MUSTWRIGHT_TEST_ACT", what)
            .env("MUSTWRIGHT_TEST_DATA", data_dir)
            .stdin(Stdio::null())
            .stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let words = BufReader::new(child.stdout.take().unwrap());
        Self { child, words }
    }

    /// The rest of the next line that begins with `name`.
    fn hear(&mut self, name: &str) -> String {
        loop {
            let mut line = String::new();
            assert!(
                self.words.read_line(&mut line).unwrap() > 0,
                "it ended without {name}"
            );
            if let Some(rest) = line.trim_end().strip_prefix(name) {
                return rest.trim().to_owned();
            }
        }
    }
}

impl Drop for Other {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
#[ignore = "no test: what the other process of the tests does"]
fn act() {
    let (Ok(what), Some(dir)) = (
        std::env::var("MUSTWRIGHT_TEST_ACT"),
        std::env::var_os("MUSTWRIGHT_TEST_DATA"),
    ) else {
        return;
    };
    let dir = PathBuf::from(dir);
    // On a new line: the test harness has begun one.
    println!();
    match what.as_str() {
        "fault" => println!("fault {}", refused(settings(&dir))),
        "throw away" => {
            static KEPT: OnceLock<Cluster> = OnceLock::new();
            let cluster = KEPT.get_or_init(|| cluster::start_throw_away().unwrap());
            println!("server {}", cluster.server_pid().unwrap());
            println!("dir {}", cluster.data_dir().display());
        }
        "insert" => {
            let cluster = started(&dir);
            println!("server {}", cluster.server_pid().unwrap());
            make_table(&cluster);
            blocking(async {
                let mut connection = PgConnection::connect_with(&cluster.app_options())
                    .await
                    .unwrap();
                for count in 1.. {
                    let row =
                        sqlx::query("insert into musts values ($1)").bind(format!("{count:06}"));
                    // The server may be killed first; then we wait for our turn.
                    if row.execute(&mut connection).await.is_err() {
                        return thread::sleep(Duration::from_secs(60));
                    }
                    println!("row {count}");
                    std::io::stdout().flush().unwrap();
                }
            });
        }
        _ => panic!("unknown: {what}"),
    }
}

/// This program where every account can run it. Another program copies it: were it open for writing here, a process that
/// another test starts just then would inherit that, and a file that somebody writes cannot be run.
fn a_program_for_all(room: &Path) -> PathBuf {
    let program = room.join("program");
    let copied = Command::new("cp")
        .arg(std::env::current_exe().unwrap())
        .arg(&program)
        .status()
        .unwrap();
    assert!(copied.success(), "{copied}");
    fs::set_permissions(&program, Permissions::from_mode(0o755)).unwrap();
    program
}
