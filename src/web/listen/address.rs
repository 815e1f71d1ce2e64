//! Where a server listens: an address with a port, or a unix socket.

use std::fmt;
use std::net::SocketAddr;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};

/// What begins the text of a unix socket.
const SOCKET: &str = "unix:";
/// The longest path that every system takes for a unix socket.
const LONGEST: usize = 103;

/// Where a server listens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// An address and its port.
    Tcp(SocketAddr),
    /// A file of this machine.
    Socket(PathBuf),
}

impl Address {
    /// Reads `127.0.0.1:8420`, `[::1]:8420` or `unix:/run/club.sock`.
    pub fn read(text: &str) -> Option<Address> {
        let Some(path) = text.strip_prefix(SOCKET) else {
            return text.parse().ok().map(Address::Tcp);
        };
        let path = Path::new(path);
        let fits = path.is_absolute()
            && path.file_name().is_some()
            && path.as_os_str().as_bytes().len() <= LONGEST;
        fits.then(|| Address::Socket(path.to_owned()))
    }
}

impl From<SocketAddr> for Address {
    fn from(address: SocketAddr) -> Address {
        Address::Tcp(address)
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Address::Tcp(address) => address.fmt(f),
            Address::Socket(path) => write!(f, "{SOCKET}{}", path.display()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again() {
        for text in [
            "127.0.0.1:8420",
            "[::1]:8420",
            "unix:/run/mustwright/http.sock",
        ] {
            assert_eq!(Address::read(text).unwrap().to_string(), text);
        }
        let long = format!("unix:/{}", "x".repeat(LONGEST));
        for text in [
            "8420",
            "localhost:80",
            "unix:",
            "unix:http.sock",
            "unix:/",
            "unix:/..",
            &long,
        ] {
            assert_eq!(Address::read(text), None, "{text}");
        }
    }
}
