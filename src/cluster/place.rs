//! What lies where in a data directory, whose each part is, and the lock that admits one server.

use std::fs::{self, DirBuilder, File, OpenOptions, Permissions, TryLockError};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{ErrorKind, Read, Seek, Write};
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{DirBuilderExt, MetadataExt, OpenOptionsExt, PermissionsExt, lchown};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use std::{env, thread};

use super::account::Account;
use super::address::{PORT, socket_file};
use super::child;
use super::error::ClusterError;

/// The longest path of a unix socket.
const SOCKET_PATH_LIMIT: usize = if cfg!(target_os = "linux") { 107 } else { 103 };

/// A data directory and the paths in it.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub dir: PathBuf,
}

impl Place {
    /// Makes the directory where it is missing: enterable by the other account when we are root.
    pub fn make(dir: &Path) -> Result<Self, ClusterError> {
        let mode = if child::effective_uid() == 0 {
            0o711
        } else {
            0o700
        };
        make_dirs(dir, mode)?;
        let dir = fs::canonicalize(dir).map_err(ClusterError::files("read", dir))?;
        Ok(Self { dir })
    }

    pub fn data(&self) -> PathBuf {
        self.dir.join("data")
    }

    /// Where a new cluster is made before it is renamed to [`Place::data`].
    pub fn unfinished(&self) -> PathBuf {
        self.dir.join("data.new")
    }

    pub fn lock(&self) -> PathBuf {
        self.dir.join("lock")
    }

    pub fn address(&self) -> PathBuf {
        self.dir.join("address")
    }

    pub fn known_programs(&self) -> PathBuf {
        self.dir.join("programs")
    }

    /// The major that made the data, when there are any.
    pub fn made_by(&self) -> Result<Option<String>, ClusterError> {
        let path = self.data().join("PG_VERSION");
        match fs::read_to_string(&path) {
            Ok(text) => Ok(Some(text.trim().to_owned())),
            Err(fault) if fault.kind() == ErrorKind::NotFound => Ok(None),
            Err(fault) => Err(ClusterError::files("read", path)(fault)),
        }
    }

    /// Takes the lock, held as long as the file is open, and writes our id into it.
    pub fn take_lock(&self) -> Result<File, ClusterError> {
        let path = self.lock();
        let open = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .mode(0o600)
            .open(&path);
        let mut file = open.map_err(ClusterError::files("open", &path))?;
        // `attach` looks at the lock for an instant; a server holds it for good.
        let patience = Instant::now() + Duration::from_millis(300);
        loop {
            match file.try_lock() {
                Ok(()) => break,
                Err(TryLockError::WouldBlock) if Instant::now() < patience => {
                    thread::sleep(Duration::from_millis(20));
                }
                Err(TryLockError::WouldBlock) => {
                    let mut holder = String::new();
                    let _ = file.read_to_string(&mut holder);
                    let holder = match holder.trim().parse::<u32>() {
                        Ok(pid) => format!("process {pid}"),
                        Err(_) => "unknown process".to_owned(),
                    };
                    return Err(ClusterError::Locked {
                        dir: self.dir.clone(),
                        holder,
                    });
                }
                Err(TryLockError::Error(fault)) => {
                    return Err(ClusterError::files("lock", path)(fault));
                }
            }
        }
        let written = file
            .set_len(0)
            .and_then(|()| file.rewind())
            .and_then(|()| writeln!(file, "{}", std::process::id()));
        written.map_err(ClusterError::files("write", path))?;
        Ok(file)
    }

    /// True while some server holds the lock.
    pub fn is_locked(&self) -> bool {
        let Ok(file) = File::open(self.lock()) else {
            return false;
        };
        matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock))
    }

    /// The private directory of the socket: in the data directory, or somewhere shorter.
    pub fn socket_dir(&self, account: Option<&Account>) -> Result<PathBuf, ClusterError> {
        let mut hasher = DefaultHasher::new();
        self.dir.hash(&mut hasher);
        let name = format!("mustwright-{:016x}", hasher.finish());
        // The runtime directory is shut to other accounts, so it is of no use to root.
        let runtime = env::var_os("XDG_RUNTIME_DIR")
            .filter(|_| account.is_none())
            .map(PathBuf::from);
        let choices = [
            Some(self.dir.join("socket")),
            runtime
                .filter(|dir| dir.is_absolute() && dir.is_dir())
                .map(|dir| dir.join(&name)),
        ];
        let dir = choices
            .into_iter()
            .flatten()
            .find(|dir| fits_socket(dir))
            .unwrap_or_else(|| Path::new("/tmp").join(name));
        make_private(&dir, account)?;
        Ok(dir)
    }
}

fn fits_socket(dir: &Path) -> bool {
    socket_file(dir, PORT).as_os_str().as_bytes().len() <= SOCKET_PATH_LIMIT
}

/// Each missing directory gets `mode`, whatever the umask; those at hand stay as they are.
fn make_dirs(dir: &Path, mode: u32) -> Result<(), ClusterError> {
    if dir.as_os_str().is_empty() || dir.is_dir() {
        return Ok(());
    }
    if let Some(parent) = dir.parent() {
        make_dirs(parent, mode)?;
    }
    match fs::create_dir(dir) {
        Ok(()) => fs::set_permissions(dir, Permissions::from_mode(mode)),
        Err(fault) if fault.kind() == ErrorKind::AlreadyExists && dir.is_dir() => Ok(()),
        Err(fault) => Err(fault),
    }
    .map_err(ClusterError::files("make the directory", dir))
}

/// A directory that only the account may enter. One at hand is taken only when it is a real directory of the
/// right owner: under /tmp somebody else could have laid it there.
pub(super) fn make_private(dir: &Path, account: Option<&Account>) -> Result<(), ClusterError> {
    let me = child::effective_uid();
    let uid = account.map_or(me, |account| account.uid);
    match DirBuilder::new().mode(0o700).create(dir) {
        Err(fault) if fault.kind() != ErrorKind::AlreadyExists => {
            return Err(ClusterError::files("make the directory", dir)(fault));
        }
        _ => {}
    }
    let facts = fs::symlink_metadata(dir).map_err(ClusterError::files("read", dir))?;
    if !facts.is_dir() {
        return Err(ClusterError::files("use", dir)(
            ErrorKind::NotADirectory.into(),
        ));
    }
    if facts.uid() != uid && facts.uid() != me {
        return Err(ClusterError::ForeignOwner {
            dir: dir.to_owned(),
            owner: facts.uid(),
            uid,
        });
    }
    if facts.mode() & 0o777 != 0o700 {
        fs::set_permissions(dir, Permissions::from_mode(0o700))
            .map_err(ClusterError::files("close", dir))?;
    }
    if let Some(account) = account {
        lchown(dir, Some(account.uid), Some(account.gid))
            .map_err(ClusterError::files("hand over", dir))?;
    }
    Ok(())
}
