//! The thread that starts the server, waits for it, and starts it again when it ends unasked.

use std::collections::VecDeque;
use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, ChildStderr};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use super::account::{self, Account};
use super::address::{Addresses, PORT};
use super::child::{self, Ending};
use super::error::ClusterError;
use super::find::Programs;
use super::make::on_one_line;
use super::place::Place;
use super::{CONNECTIONS, stale};

/// Recovery after a crash may take long; a server that is neither ready nor dead by then is given up.
const START_PATIENCE: Duration = Duration::from_secs(300);
/// A server that lived this long is started again at once.
const STEADY: Duration = Duration::from_secs(10);

/// All that is needed to start the server, again and again.
pub(super) struct Plan {
    pub place: Place,
    pub programs: Programs,
    pub account: Option<Account>,
    pub socket_dir: PathBuf,
    /// False only for throw-away clusters.
    pub durable: bool,
    /// Held open as long as the thread lives.
    pub lock: File,
}

/// What the thread and those who stop it both see.
#[derive(Default)]
pub(super) struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    /// The server, as long as it is not reaped: its id cannot belong to another process.
    server: Option<u32>,
    stopping: bool,
    ended: bool,
}

impl Shared {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The server's process, while there is one.
    pub fn server_pid(&self) -> Option<u32> {
        self.state().server
    }

    /// Stops the server and waits until it has ended; false when even a kill did not end it.
    pub fn stop(&self) -> bool {
        let mut state = self.state();
        state.stopping = true;
        self.changed.notify_all();
        let urging = [
            (Ending::Fast, Duration::from_secs(30)),
            (Ending::Immediate, Duration::from_secs(5)),
            (Ending::Kill, Duration::from_secs(5)),
        ];
        for (ending, patience) in urging {
            if let Some(pid) = state.server {
                child::end(pid, ending);
            }
            let waited = self
                .changed
                .wait_timeout_while(state, patience, |state| !state.ended);
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
            if state.ended {
                return true;
            }
        }
        false
    }

    /// Sleeps, but not through a request to stop.
    fn pause(&self, pause: Duration) {
        let waited = self
            .changed
            .wait_timeout_while(self.state(), pause, |state| !state.stopping);
        drop(waited.unwrap_or_else(PoisonError::into_inner));
    }
}

/// Starts the thread and returns when the server accepts connections. The thread is ours alone, because the
/// server ends with the thread that spawned it, and a pool's threads end when they idle.
pub(super) fn begin(plan: Plan) -> Result<Arc<Shared>, ClusterError> {
    let shared = Arc::new(Shared::default());
    let (started, first_start) = mpsc::channel();
    let dir = plan.place.dir.clone();
    let of_thread = Arc::clone(&shared);
    thread::Builder::new()
        .name("private-postgres".to_owned())
        .spawn(move || watch(&plan, &of_thread, &started))
        .map_err(ClusterError::files("start a thread for", dir))?;
    match first_start.recv() {
        Ok(Ok(())) => Ok(shared),
        Ok(Err(fault)) => Err(fault),
        Err(_) => Err(ClusterError::Stopped),
    }
}

fn watch(plan: &Plan, shared: &Shared, started: &mpsc::Sender<Result<(), ClusterError>>) {
    let mut running = false;
    let mut failures = 0u32;
    loop {
        let began = Instant::now();
        match launch(plan, shared) {
            Ok((mut server, last_words)) => {
                if !running {
                    running = true;
                    // The receiver waits in `begin`.
                    let _ = started.send(Ok(()));
                }
                child::wait_unreaped(server.id());
                let mut state = shared.state();
                let ended = server.wait();
                state.server = None;
                if !state.stopping {
                    let how =
                        ended.map_or_else(|fault| fault.to_string(), |status| status.to_string());
                    let said = last_words.text();
                    tracing::error!(
                        "the private PostgreSQL ended unasked ({how}; {said}): starting it again"
                    );
                }
            }
            Err(fault) if !running => {
                finish(plan, shared);
                let _ = started.send(Err(fault));
                return;
            }
            Err(fault) => tracing::error!("the private PostgreSQL does not start again: {fault}"),
        }
        if shared.state().stopping {
            break;
        }
        failures = if began.elapsed() > STEADY {
            0
        } else {
            (failures + 1).min(6)
        };
        shared.pause(Duration::from_millis(if failures < 2 {
            0
        } else {
            50 << failures
        }));
    }
    finish(plan, shared);
}

/// Nobody can attach any more, the lock is open, and those who wait for the end are told.
fn finish(plan: &Plan, shared: &Shared) {
    let _ = fs::remove_file(plan.place.address());
    if !plan.socket_dir.starts_with(&plan.place.dir) {
        let _ = fs::remove_dir(&plan.socket_dir);
    }
    let _ = plan.lock.unlock();
    shared.state().ended = true;
    shared.changed.notify_all();
}

/// Starts the server and waits until it accepts connections.
fn launch(plan: &Plan, shared: &Shared) -> Result<(Child, LastWords), ClusterError> {
    let data = plan.place.data();
    stale::clear(&data, &plan.socket_dir)?;
    let program = plan.programs.postgres();
    let mut command = child::command(&program, plan.account.as_ref());
    command
        .arg("-D")
        .arg(&data)
        .args(settings(plan))
        .current_dir(&data);
    let mut server = {
        let mut state = shared.state();
        if state.stopping {
            return Err(ClusterError::Stopped);
        }
        let spawned = command.spawn();
        let server = spawned.map_err(|denied| {
            account::explain_denial(&program, plan.account.as_ref(), &data, denied)
        })?;
        state.server = Some(server.id());
        server
    };
    let last_words = LastWords::default();
    if let Some(stderr) = server.stderr.take() {
        last_words.follow(stderr);
    }
    let began = Instant::now();
    while !is_ready(plan, server.id()) {
        thread::sleep(Duration::from_millis(3));
        let mut state = shared.state();
        if began.elapsed() > START_PATIENCE {
            let _ = server.kill();
        } else if !matches!(server.try_wait(), Ok(Some(_))) {
            continue;
        }
        let _ = server.wait();
        state.server = None;
        if state.stopping {
            return Err(ClusterError::Stopped);
        }
        return Err(ClusterError::Program {
            program: "postgres".to_owned(),
            said: last_words.text(),
        });
    }
    let addresses = Addresses::new(plan.socket_dir.clone(), server.id());
    if let Err(fault) = addresses.record(&plan.place.address()) {
        tracing::warn!(
            "nobody can attach to the private PostgreSQL: cannot write its address: {fault}"
        );
    }
    Ok((server, last_words))
}

/// The server writes its state into the eighth line of its pid file.
fn is_ready(plan: &Plan, pid: u32) -> bool {
    let text = fs::read_to_string(plan.place.data().join("postmaster.pid")).unwrap_or_default();
    let mut lines = text.lines().map(str::trim);
    lines.next() == Some(pid.to_string().as_str()) && lines.nth(6) == Some("ready")
}

/// Small, private and safe: what a club of some hundred members needs. They go before postgresql.conf.
fn settings(plan: &Plan) -> Vec<String> {
    // A list of directories: quoted, so that a comma in the path does not split it.
    let socket_dir = plan.socket_dir.to_string_lossy().replace('"', "\"\"");
    let durable = if plan.durable { "on" } else { "off" };
    let settings = [
        "listen_addresses=".to_owned(),
        format!("unix_socket_directories=\"{socket_dir}\""),
        "unix_socket_permissions=0700".to_owned(),
        format!("port={PORT}"),
        format!("fsync={durable}"),
        format!("synchronous_commit={durable}"),
        format!("full_page_writes={durable}"),
        // As PostgreSQL itself proposes; a small club never touches most of it.
        "shared_buffers=128MB".to_owned(),
        format!("max_connections={CONNECTIONS}"),
        "max_wal_size=128MB".to_owned(),
        "min_wal_size=8MB".to_owned(),
        "wal_level=minimal".to_owned(),
        "max_wal_senders=0".to_owned(),
        "max_worker_processes=2".to_owned(),
        "max_parallel_workers=0".to_owned(),
        "max_logical_replication_workers=0".to_owned(),
        "autovacuum_max_workers=1".to_owned(),
        "jit=off".to_owned(),
        "logging_collector=off".to_owned(),
        "log_destination=stderr".to_owned(),
        "log_line_prefix=".to_owned(),
        // Faults of statements reach the application anyway, and members' text is no matter for a log.
        "log_min_messages=fatal".to_owned(),
        "log_min_error_statement=panic".to_owned(),
    ];
    settings
        .into_iter()
        .flat_map(|setting| ["-c".to_owned(), setting])
        .collect()
}

/// What the server wrote last. Somebody must read it, or the server blocks on a full pipe.
#[derive(Clone, Default)]
struct LastWords(Arc<Mutex<VecDeque<String>>>);

impl LastWords {
    fn follow(&self, stderr: ChildStderr) {
        let lines = Arc::clone(&self.0);
        let follow = move || {
            for line in BufReader::new(stderr).split(b'\n').map_while(Result::ok) {
                let line = String::from_utf8_lossy(&line).into_owned();
                tracing::warn!("PostgreSQL: {line}");
                let mut lines = lines.lock().unwrap_or_else(PoisonError::into_inner);
                if lines.len() == 20 {
                    lines.pop_front();
                }
                lines.push_back(line);
            }
        };
        if let Err(fault) = thread::Builder::new()
            .name("postgres-words".to_owned())
            .spawn(follow)
        {
            tracing::warn!("nobody reads what PostgreSQL says: {fault}");
        }
    }

    fn text(&self) -> String {
        // The reader may be a moment behind the end of the process.
        thread::sleep(Duration::from_millis(20));
        let lines = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        on_one_line(lines.iter().map(String::as_str))
    }
}
