//! A bad network between the server and its database: slow, silent, broken, or broken at the worst moment.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use sqlx::postgres::PgConnectOptions;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream, UnixStream};
use tokio::sync::watch;

/// How the network is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Network {
    /// As it should be.
    Good,
    /// Each piece takes so long.
    Slow(Duration),
    /// Nothing gets through, nothing breaks.
    Silent,
    /// Every connection breaks, and none comes about.
    Down,
    /// The next COMMIT is done, and its answer is lost with the connection.
    LosesTheAnswerToACommit,
}

/// A listening end to which the server connects in place of its database.
pub struct Relay {
    pub port: u16,
    network: watch::Sender<Network>,
    lost: Arc<AtomicU64>,
}

trait Stream: AsyncRead + AsyncWrite + Send + Unpin {}
impl<T: AsyncRead + AsyncWrite + Send + Unpin> Stream for T {}

async fn connect(database: &PgConnectOptions) -> std::io::Result<Box<dyn Stream>> {
    let (host, port) = (database.get_host(), database.get_port());
    Ok(match database.get_socket() {
        Some(folder) => {
            let path = folder.join(format!(".s.PGSQL.{port}"));
            Box::new(UnixStream::connect(path).await?)
        }
        None => Box::new(TcpStream::connect((host, port)).await?),
    })
}

impl Relay {
    /// Begins to stand between, as a good network.
    pub async fn before(database: PgConnectOptions) -> Relay {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let port = listener.local_addr().expect("the port").port();
        let (network, is) = watch::channel(Network::Good);
        let lost = Arc::new(AtomicU64::new(0));
        let relay = Relay {
            port,
            network: network.clone(),
            lost: lost.clone(),
        };
        tokio::spawn(async move {
            while let Ok((near, _)) = listener.accept().await {
                let (database, is, network) = (database.clone(), is.clone(), network.clone());
                let lost = lost.clone();
                tokio::spawn(async move {
                    let is_down = *is.borrow() == Network::Down;
                    let far = connect(&database).await;
                    if let (false, Ok(far)) = (is_down, far) {
                        let _ = carry(near, far, is, &network, &lost).await;
                    }
                });
            }
        });
        relay
    }

    /// Makes the network be so from now on. Connections that fell silent stay so.
    pub fn becomes(&self, network: Network) {
        self.network.send_replace(network);
    }

    /// How many answers to a COMMIT were lost.
    pub fn lost(&self) -> u64 {
        self.lost.load(Ordering::Relaxed)
    }
}

/// Carries pieces to and fro for as long as the network lets it.
async fn carry(
    mut near: TcpStream,
    mut far: Box<dyn Stream>,
    mut is: watch::Receiver<Network>,
    network: &watch::Sender<Network>,
    lost: &AtomicU64,
) -> std::io::Result<()> {
    let (mut there, mut back) = (vec![0; 64 * 1024], vec![0; 64 * 1024]);
    loop {
        let now = *is.borrow_and_update();
        match now {
            Network::Down => return Ok(()),
            Network::Silent => std::future::pending().await,
            _ => {}
        }
        tokio::select! {
            changed = is.changed() => if changed.is_err() { return Ok(()) },
            read = near.read(&mut there) => {
                let piece = &there[..read?];
                if piece.is_empty() {
                    return Ok(());
                }
                delay(now).await;
                far.write_all(piece).await?;
                let commits = piece.windows(7).any(|bytes| bytes == b"COMMIT\0");
                if now == Network::LosesTheAnswerToACommit && commits {
                    // The first byte of the answer: it is done.
                    far.read_exact(&mut back[..1]).await?;
                    lost.fetch_add(1, Ordering::Relaxed);
                    network.send_replace(Network::Good);
                    return Ok(());
                }
            }
            read = far.read(&mut back) => {
                let piece = &back[..read?];
                if piece.is_empty() {
                    return Ok(());
                }
                delay(now).await;
                near.write_all(piece).await?;
            }
        }
    }
}

async fn delay(network: Network) {
    if let Network::Slow(each) = network {
        tokio::time::sleep(each).await;
    }
}
