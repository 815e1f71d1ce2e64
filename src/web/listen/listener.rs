//! What accepts connections: a port, or a unix socket whose file comes and goes with the server.

use std::fs::{self, File, Permissions, TryLockError};
use std::io;
use std::net::IpAddr;
use std::os::unix::fs::{FileTypeExt, MetadataExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::time::Duration;

use tokio::net::{TcpListener, TcpStream, UnixListener, UnixStream};
use tokio_util::either::Either;

use super::address::Address;

/// How often the lock on a folder is tried, and how long between.
const TRIES: u32 = 50;
const PAUSE: Duration = Duration::from_millis(100);

/// A connection of either kind.
pub type Stream = Either<TcpStream, UnixStream>;

/// Who is at the other end of a connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Peer {
    /// Whoever has this address.
    Address(IpAddr),
    /// A program of this machine that may open the unix socket.
    Socket,
}

/// What accepts connections.
#[derive(Debug)]
pub enum Listener {
    /// A port.
    Tcp(TcpListener),
    /// A unix socket. The file is removed while it still listens, so that it is never another server's.
    Socket(SocketFile, UnixListener),
}

impl From<TcpListener> for Listener {
    fn from(listener: TcpListener) -> Listener {
        Listener::Tcp(listener)
    }
}

impl Listener {
    /// Listens. A unix socket gets `mode`; one that nobody listens on any more is taken over.
    ///
    /// # Errors
    /// The address is in use, or the system refuses it.
    pub async fn bind(address: &Address, mode: u32) -> io::Result<Listener> {
        match address {
            Address::Tcp(address) => TcpListener::bind(address).await.map(Listener::Tcp),
            Address::Socket(path) => bind_socket(path, mode).await,
        }
    }

    /// Where it listens.
    ///
    /// # Errors
    /// The system does not tell.
    pub fn address(&self) -> io::Result<Address> {
        match self {
            Listener::Tcp(listener) => listener.local_addr().map(Address::Tcp),
            Listener::Socket(file, _) => Ok(Address::Socket(file.path.clone())),
        }
    }

    /// Waits for the next connection.
    pub(super) async fn accept(&self) -> io::Result<(Stream, Peer)> {
        match self {
            Listener::Tcp(listener) => {
                let (stream, peer) = listener.accept().await?;
                let _ = stream.set_nodelay(true);
                Ok((Either::Left(stream), Peer::Address(peer.ip())))
            }
            Listener::Socket(_, listener) => {
                let (stream, _) = listener.accept().await?;
                Ok((Either::Right(stream), Peer::Socket))
            }
        }
    }
}

/// The file of a unix socket, removed when this is dropped, unless another file has taken its place.
#[derive(Debug)]
pub struct SocketFile {
    path: PathBuf,
    identity: Option<(u64, u64)>,
}

impl SocketFile {
    fn at(path: &Path) -> SocketFile {
        SocketFile {
            path: path.to_owned(),
            identity: identity(path),
        }
    }
}

impl Drop for SocketFile {
    fn drop(&mut self) {
        if self.identity.is_some() && identity(&self.path) == self.identity {
            let _ = fs::remove_file(&self.path);
        }
    }
}

fn identity(path: &Path) -> Option<(u64, u64)> {
    let facts = fs::symlink_metadata(path).ok()?;
    Some((facts.dev(), facts.ino()))
}

async fn bind_socket(path: &Path, mode: u32) -> io::Result<Listener> {
    // Of several servers that start at once, one looks and takes at a time.
    let folder = path.parent().unwrap_or(Path::new("/"));
    let _lock = lock(File::open(folder)?).await?;
    clear(path).await?;
    let listener = UnixListener::bind(path)?;
    let file = SocketFile::at(path);
    fs::set_permissions(path, Permissions::from_mode(mode))?;
    Ok(Listener::Socket(file, listener))
}

/// A lock that ends with the file.
async fn lock(folder: File) -> io::Result<File> {
    for _ in 0..TRIES {
        match folder.try_lock() {
            Ok(()) => return Ok(folder),
            Err(TryLockError::WouldBlock) => tokio::time::sleep(PAUSE).await,
            Err(TryLockError::Error(cause)) => return Err(cause),
        }
    }
    Err(io::Error::other("another program keeps its folder locked"))
}

/// Removes the file of a socket on which nobody listens any more; anything else stays.
async fn clear(path: &Path) -> io::Result<()> {
    let facts = match fs::symlink_metadata(path) {
        Ok(facts) => facts,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(cause) => return Err(cause),
    };
    if !facts.file_type().is_socket() {
        return Err(io::Error::new(
            io::ErrorKind::AlreadyExists,
            "something that is no socket is there already",
        ));
    }
    match UnixStream::connect(path).await {
        Err(cause) if cause.kind() == io::ErrorKind::ConnectionRefused => fs::remove_file(path),
        Err(cause) if cause.kind() == io::ErrorKind::PermissionDenied => Err(cause),
        _ => Err(io::Error::new(
            io::ErrorKind::AddrInUse,
            "another server listens there",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("mustwright-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        folder.join("http.sock")
    }

    async fn bind(path: &Path, mode: u32) -> io::Result<Listener> {
        Listener::bind(&Address::Socket(path.to_owned()), mode).await
    }

    #[tokio::test]
    async fn a_socket_comes_with_its_mode_and_goes_with_its_server() {
        let path = place("socket-mode");
        let listener = bind(&path, 0o660).await.unwrap();
        assert_eq!(fs::metadata(&path).unwrap().mode() & 0o777, 0o660);
        assert_eq!(listener.address().unwrap(), Address::Socket(path.clone()));
        drop(listener);
        assert!(!path.exists());
    }

    #[tokio::test]
    async fn only_a_socket_that_nobody_listens_on_is_taken_over() {
        let path = place("socket-stale");
        drop(std::os::unix::net::UnixListener::bind(&path).unwrap());
        assert!(path.exists(), "what a killed server leaves");
        let listening = bind(&path, 0o600).await.unwrap();
        assert_eq!(
            bind(&path, 0o600).await.unwrap_err().kind(),
            io::ErrorKind::AddrInUse
        );
        assert!(path.exists());
        drop(listening);
        fs::write(&path, "somebody's text").unwrap();
        assert_eq!(
            bind(&path, 0o600).await.unwrap_err().kind(),
            io::ErrorKind::AlreadyExists
        );
        assert_eq!(fs::read_to_string(&path).unwrap(), "somebody's text");
        fs::remove_file(&path).unwrap();
    }

    #[tokio::test]
    async fn the_file_of_another_server_is_left_alone() {
        let path = place("socket-anothers");
        let first = bind(&path, 0o600).await.unwrap();
        fs::rename(&path, path.with_extension("away")).unwrap();
        let second = bind(&path, 0o600).await.unwrap();
        drop(first);
        assert!(path.exists());
        drop(second);
        fs::remove_file(path.with_extension("away")).unwrap();
    }
}
