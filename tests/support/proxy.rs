//! A small proxy before several servers: it takes them in turn, and goes on to the next where a connection is refused.

use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use tokio::io::copy_bidirectional;
use tokio::net::{TcpListener, TcpStream};
use tokio::task::JoinHandle;

/// A proxy that ends with the test.
pub struct Proxy {
    pub address: SocketAddr,
    refused: Arc<AtomicUsize>,
    task: JoinHandle<()>,
}

impl Proxy {
    /// A proxy before these ports of this machine.
    pub async fn before(ports: &[u16]) -> Proxy {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let address = listener.local_addr().expect("the port");
        let refused = Arc::new(AtomicUsize::new(0));
        let (ports, counted): (Arc<[u16]>, _) = (ports.into(), refused.clone());
        let task = tokio::spawn(async move {
            for first in 0.. {
                let (browser, _) = listener.accept().await.expect("a connection");
                tokio::spawn(carry(browser, ports.clone(), first, counted.clone()));
            }
        });
        Proxy {
            address,
            refused,
            task,
        }
    }

    /// How browsers call it.
    pub fn origin(&self) -> String {
        format!("http://{}", self.address)
    }

    /// How often a server refused and another one was asked.
    pub fn refused(&self) -> usize {
        self.refused.load(Ordering::Relaxed)
    }
}

impl Drop for Proxy {
    fn drop(&mut self) {
        self.task.abort();
    }
}

async fn carry(mut browser: TcpStream, ports: Arc<[u16]>, first: usize, refused: Arc<AtomicUsize>) {
    for turn in 0..ports.len() {
        match TcpStream::connect(("127.0.0.1", ports[(first + turn) % ports.len()])).await {
            Ok(mut server) => {
                let _ = copy_bidirectional(&mut browser, &mut server).await;
                return;
            }
            Err(cause) if cause.kind() == std::io::ErrorKind::ConnectionRefused => {
                refused.fetch_add(1, Ordering::Relaxed);
            }
            Err(_) => return,
        }
    }
}
