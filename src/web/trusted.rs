//! Whose word is believed about where a request comes from: proxies that the keeper names, nobody else.

use std::fmt;
use std::net::IpAddr;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::http::HeaderMap;
use ipnet::IpNet;

use super::listen::Peer;

/// The header in which proxies say for whom they ask.
const FORWARDED: &str = "x-forwarded-for";
/// The word for whoever opens the unix socket.
const SOCKET: &str = "unix";
/// Stands for whoever comes by a unix socket without a believed word on where from.
const NOWHERE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::UNSPECIFIED);

/// Whether the keeper was told of a proxy that is not trusted; once is enough.
static TOLD: AtomicBool = AtomicBool::new(false);

/// The proxies whose X-Forwarded-For is believed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trusted {
    socket: bool,
    networks: Vec<IpNet>,
}

impl Trusted {
    /// Reads addresses, networks like `172.16.0.0/12` and the word `unix`, with commas between.
    ///
    /// # Errors
    /// The part that is none of them.
    pub fn read(text: &str) -> Result<Trusted, String> {
        let mut trusted = Trusted::default();
        let parts = text.split(',').map(str::trim);
        for part in parts.filter(|part| !part.is_empty()) {
            let alone = || part.parse::<IpAddr>().ok().map(IpNet::from);
            let network = part.parse::<IpNet>().ok().or_else(alone);
            match (part, network) {
                (SOCKET, _) => trusted.socket = true,
                (_, Some(network)) => trusted.networks.push(network),
                (_, None) => return Err(part.to_owned()),
            }
        }
        Ok(trusted)
    }

    fn holds(&self, address: &IpAddr) -> bool {
        self.networks
            .iter()
            .any(|network| network.contains(address))
    }

    /// The last address of X-Forwarded-For that is not a trusted proxy, if the peer is one; else the peer.
    pub fn source_of(&self, peer: Option<Peer>, headers: &HeaderMap) -> IpAddr {
        let (address, is_trusted) = match peer {
            Some(Peer::Address(address)) => {
                let address = address.to_canonical();
                (address, self.holds(&address))
            }
            Some(Peer::Socket) => (NOWHERE, self.socket),
            None => (NOWHERE, false),
        };
        if !is_trusted {
            if headers.contains_key(FORWARDED) && !TOLD.swap(true, Ordering::Relaxed) {
                let named = match peer {
                    Some(Peer::Socket) => SOCKET.to_owned(),
                    _ => address.to_string(),
                };
                tracing::warn!(
                    "{named} sends X-Forwarded-For but is no trusted proxy: if it is yours, name it in MUSTWRIGHT_TRUSTED_PROXIES"
                );
            }
            return address;
        }
        let lines = headers
            .get_all(FORWARDED)
            .iter()
            .rev()
            .filter_map(|value| value.to_str().ok());
        let hops = lines
            .flat_map(|line| line.rsplit(','))
            .map_while(|hop| hop.trim().parse::<IpAddr>().ok());
        hops.map(|hop| hop.to_canonical())
            .find(|hop| !self.holds(hop))
            .unwrap_or(address)
    }
}

impl fmt::Display for Trusted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let socket = self.socket.then(|| SOCKET.to_owned());
        let networks = self.networks.iter().map(|network| {
            match network.prefix_len() == network.max_prefix_len() {
                true => network.addr().to_string(),
                false => network.to_string(),
            }
        });
        let all: Vec<_> = socket.into_iter().chain(networks).collect();
        f.write_str(&all.join(","))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ip(text: &str) -> IpAddr {
        text.parse().unwrap()
    }

    #[test]
    fn only_trusted_proxies_are_believed() {
        let mut headers = HeaderMap::new();
        headers.append(FORWARDED, "6.6.6.6, 203.0.113.9".parse().unwrap());
        headers.append(FORWARDED, "10.0.0.2".parse().unwrap());
        let (proxy, socket) = (Peer::Address(ip("10.0.0.1")), Peer::Socket);
        let nobody = HeaderMap::new();
        for (trusted, peer, headers, source) in [
            ("", proxy, &headers, "10.0.0.1"),
            ("10.0.0.1, 10.0.0.2", proxy, &headers, "203.0.113.9"),
            ("10.0.0.0/30", proxy, &headers, "203.0.113.9"),
            ("10.0.0.1", proxy, &headers, "10.0.0.2"),
            ("10.0.0.1", proxy, &nobody, "10.0.0.1"),
            (
                "10.0.0.1",
                Peer::Address(ip("203.0.113.9")),
                &headers,
                "203.0.113.9",
            ),
            (
                "10.0.0.1",
                Peer::Address(ip("::ffff:10.0.0.1")),
                &headers,
                "10.0.0.2",
            ),
            ("", socket, &headers, "0.0.0.0"),
            ("10.0.0.0/8", socket, &headers, "0.0.0.0"),
            ("unix", socket, &headers, "10.0.0.2"),
            ("unix,10.0.0.2", socket, &headers, "203.0.113.9"),
            ("unix", proxy, &headers, "10.0.0.1"),
            ("unix", socket, &nobody, "0.0.0.0"),
        ] {
            let trusted = Trusted::read(trusted).unwrap();
            assert_eq!(
                trusted.source_of(Some(peer), headers),
                ip(source),
                "{trusted}"
            );
        }
    }

    #[test]
    fn what_is_written_is_read_again() {
        for text in ["", "unix", "10.0.0.1", "unix,172.16.0.0/12,::1"] {
            assert_eq!(Trusted::read(text).unwrap().to_string(), text);
        }
        for text in ["*", "10.0.0.1/33", "proxy.example", "0.0.0"] {
            assert_eq!(Trusted::read(text), Err(text.to_owned()));
        }
    }
}
