//! Files that a killed server leaves behind. They are removed only under our lock and when no server process is
//! left in the data directory.

use std::path::{Path, PathBuf};

use super::address::{PORT, socket_file};
use super::error::ClusterError;

/// Waits for the processes of an earlier server to end, then removes what they left: `postmaster.pid`, the
/// socket and the socket's lock file. (A number in such a file proves nothing: it may belong to another process
/// by now, or to a zombie.) Elsewhere than on Linux PostgreSQL's own, more fearful check decides.
pub(super) fn clear(data: &Path, socket_dir: &Path) -> Result<(), ClusterError> {
    if cfg!(not(target_os = "linux")) {
        return Ok(());
    }
    let pid_file = data.join("postmaster.pid");
    linux::wait_until_unused(data, &pid_file)?;
    let socket = socket_file(socket_dir, PORT);
    let mut socket_lock = socket.clone().into_os_string();
    socket_lock.push(".lock");
    for path in [pid_file, PathBuf::from(socket_lock), socket] {
        match std::fs::remove_file(&path) {
            Err(fault) if fault.kind() != std::io::ErrorKind::NotFound => {
                return Err(ClusterError::files("remove", path)(fault));
            }
            _ => {}
        }
    }
    Ok(())
}

/// PostgreSQL processes that have `data` as their working directory.
pub(super) fn users(data: &Path) -> Vec<u32> {
    if cfg!(target_os = "linux") {
        linux::users(data)
    } else {
        Vec::new()
    }
}

mod linux {
    use std::os::unix::fs::MetadataExt;
    use std::path::Path;
    use std::time::{Duration, Instant};
    use std::{fs, thread};

    use super::super::child::{self, Ending};
    use super::super::error::ClusterError;

    /// A server that was told to stop writes its checkpoint first.
    const SERVER_PATIENCE: Duration = Duration::from_secs(20);
    /// Processes without a server end by themselves as soon as they look up from their work.
    const ORPHAN_PATIENCE: Duration = Duration::from_millis(300);

    pub fn users(data: &Path) -> Vec<u32> {
        let Ok(wanted) = fs::metadata(data) else {
            return Vec::new();
        };
        let Ok(processes) = fs::read_dir("/proc") else {
            return Vec::new();
        };
        processes
            .flatten()
            .filter_map(|entry| Some((entry.file_name().to_str()?.parse().ok()?, entry.path())))
            .filter(|(_, path)| {
                fs::metadata(path.join("cwd"))
                    .is_ok_and(|cwd| (cwd.dev(), cwd.ino()) == (wanted.dev(), wanted.ino()))
            })
            // A shell of the keeper may stand there without harm.
            .filter(|(_, path)| {
                fs::read_to_string(path.join("comm"))
                    .is_ok_and(|name| matches!(name.trim(), "postgres" | "postmaster"))
            })
            .map(|(pid, _)| pid)
            .collect()
    }

    pub fn wait_until_unused(data: &Path, pid_file: &Path) -> Result<(), ClusterError> {
        let began = Instant::now();
        loop {
            let users = users(data);
            let Some(first) = users.first() else {
                return Ok(());
            };
            let server = fs::read_to_string(pid_file).ok();
            let server: Option<u32> =
                server.and_then(|text| text.lines().next()?.trim().parse().ok());
            let waited = began.elapsed();
            if waited > SERVER_PATIENCE {
                return Err(ClusterError::InUse {
                    data: data.to_owned(),
                    pid: *first,
                });
            }
            if waited > ORPHAN_PATIENCE && !server.is_some_and(|server| users.contains(&server)) {
                for orphan in users {
                    child::end(orphan, Ending::Immediate);
                }
            }
            thread::sleep(Duration::from_millis(5));
        }
    }
}
