//! Asks the server that runs with these settings whether it is ready, as whoever looks after a container does.

use std::io::{self, Read, Write};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpStream};
use std::os::unix::net::UnixStream;
use std::time::Duration;

use crate::commands::Outcome;
use crate::config::Config;
use crate::web::listen::Address;

/// How long an answer may take. The server itself waits two seconds for its database.
const PATIENCE: Duration = Duration::from_secs(4);
/// More than the answer has.
const MOST: u64 = 8 * 1024;
/// Asked past any proxy and the path of the base address.
const QUESTION: &[u8] =
    b"GET /health/ready HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";

/// Asks once: exit code 0 where it is ready, else 1 and a sentence.
pub fn ask(config: &Config) -> Outcome {
    let address = &config.listen;
    let complaint = match status_at(address) {
        Ok(Some(200)) => {
            return Outcome {
                output: format!("The server at {address} is ready."),
                complaint: String::new(),
                code: 0,
            };
        }
        Ok(Some(status)) => format!("the server at {address} is not ready: it answers {status}"),
        Ok(None) => format!("what answers at {address} is no server of a club"),
        Err(cause) => format!("no answer at {address}: {cause}"),
    };
    Outcome {
        output: String::new(),
        complaint,
        code: 1,
    }
}

/// The status of the answer, if it is one.
fn status_at(address: &Address) -> io::Result<Option<u16>> {
    match address {
        Address::Tcp(address) => {
            let stream = TcpStream::connect_timeout(&reachable(*address), PATIENCE)?;
            stream.set_read_timeout(Some(PATIENCE))?;
            stream.set_write_timeout(Some(PATIENCE))?;
            status_of(stream)
        }
        Address::Socket(path) => {
            let stream = UnixStream::connect(path)?;
            stream.set_read_timeout(Some(PATIENCE))?;
            stream.set_write_timeout(Some(PATIENCE))?;
            status_of(stream)
        }
    }
}

/// Whoever listens on all addresses is asked at the machine's own.
fn reachable(address: SocketAddr) -> SocketAddr {
    let ip = match address.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(ip) if ip.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        ip => ip,
    };
    SocketAddr::new(ip, address.port())
}

fn status_of(mut stream: impl Read + Write) -> io::Result<Option<u16>> {
    stream.write_all(QUESTION)?;
    let mut answer = Vec::new();
    stream.take(MOST).read_to_end(&mut answer)?;
    let answer = String::from_utf8_lossy(&answer);
    let status = answer
        .strip_prefix("HTTP/1.1 ")
        .and_then(|rest| rest.get(..3));
    Ok(status.and_then(|digits| digits.parse().ok()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_addresses_are_asked_at_the_machines_own() {
        for (listening, asked) in [
            ("0.0.0.0:8420", "127.0.0.1:8420"),
            ("[::]:8420", "[::1]:8420"),
            ("192.0.2.7:80", "192.0.2.7:80"),
        ] {
            assert_eq!(reachable(listening.parse().unwrap()).to_string(), asked);
        }
    }
}
