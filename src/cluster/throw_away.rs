//! Clusters for demonstrations, trials and tests: in the temporary directory or another one, fast rather than safe, removed at the end.

use std::fs::{self, File, TryLockError};
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use super::child;
use super::place::Place;
use super::stale;

const PREFIX: &str = "mustwright-throw-away-";
/// Younger ones may be about to take their lock.
const GROWN: Duration = Duration::from_secs(60);

/// A path in a folder that nothing has yet.
pub(super) fn new_dir(folder: &Path) -> PathBuf {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let nanos = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap_or_default()
        .as_nanos();
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    folder.join(format!("{PREFIX}{}-{count}-{nanos:x}", std::process::id()))
}

/// Removes the directories that killed processes of ours left behind in a folder.
pub(super) fn sweep(folder: &Path) {
    let entries = fs::read_dir(folder);
    for entry in entries.into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(PREFIX) && is_left(&entry.path()) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

fn is_left(dir: &Path) -> bool {
    let place = Place {
        dir: dir.to_owned(),
    };
    let ours = fs::symlink_metadata(dir).is_ok_and(|facts| {
        let grown = facts
            .modified()
            .ok()
            .and_then(|time| time.elapsed().ok())
            .is_some_and(|age| age > GROWN);
        facts.is_dir() && facts.uid() == child::effective_uid() && grown
    });
    let unlocked = || match File::open(place.lock()).map(|lock| lock.try_lock()) {
        Ok(Err(TryLockError::WouldBlock)) => false,
        Ok(_) => true,
        Err(fault) => fault.kind() == std::io::ErrorKind::NotFound,
    };
    ours && unlocked() && stale::users(&place.data()).is_empty()
}
