//! The accept loop: so many connections, each with limits to its patience, drained at the end.

use std::convert::Infallible;
use std::net::SocketAddr;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::ConnectInfo;
use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;
use tower::ServiceExt;

use super::socket::{Patience, Socket};

/// A path of 8 KiB and headers of 16 KiB.
const HEAD_BYTES: usize = 24 * 1024;

/// The limits of the loop.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Connections at once; more wait outside.
    pub connections: usize,
    /// How long silence may last.
    pub patience: Patience,
    /// How long answers under way may take once the server stops.
    pub drain: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            connections: 1_000,
            patience: Patience {
                head: Duration::from_secs(10),
                idle: Duration::from_secs(60),
                write: Duration::from_secs(30),
            },
            drain: Duration::from_secs(10),
        }
    }
}

/// Answers on `listener` until `stop` says so, then lets answers under way end.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    limits: Limits,
    mut stop: watch::Receiver<bool>,
) {
    let room = Arc::new(Semaphore::new(limits.connections));
    let mut connections = JoinSet::new();
    loop {
        let accepted = tokio::select! {
            () = told(&mut stop) => break,
            accepted = accept(&listener, &room) => accepted,
        };
        let Some((stream, peer, place)) = accepted else {
            continue;
        };
        let (router, stop) = (router.clone(), stop.clone());
        connections.spawn(async move {
            converse(stream, peer, router, limits.patience, stop).await;
            drop(place);
        });
        while connections.try_join_next().is_some() {}
    }
    drop(listener);
    let all = async { while connections.join_next().await.is_some() {} };
    if tokio::time::timeout(limits.drain, all).await.is_err() {
        tracing::warn!(left = connections.len(), "connections cut off at the end");
        connections.shutdown().await;
    }
}

/// Ends when the server is told to stop, or when nobody can tell it any more.
async fn told(stop: &mut watch::Receiver<bool>) {
    let _ = stop.wait_for(|stop| *stop).await;
}

type Accepted = (TcpStream, SocketAddr, tokio::sync::OwnedSemaphorePermit);

async fn accept(listener: &TcpListener, room: &Arc<Semaphore>) -> Option<Accepted> {
    let place = Arc::clone(room).acquire_owned().await.ok()?;
    match listener.accept().await {
        Ok((stream, peer)) => {
            let _ = stream.set_nodelay(true);
            Some((stream, peer, place))
        }
        Err(cause) => {
            // Out of file descriptors, most likely: give those that are open time to close.
            tracing::warn!(%cause, "a connection was not accepted");
            tokio::time::sleep(Duration::from_millis(100)).await;
            None
        }
    }
}

async fn converse(
    stream: TcpStream,
    peer: SocketAddr,
    router: Router,
    patience: Patience,
    mut stop: watch::Receiver<bool>,
) {
    let (socket, progress) = Socket::new(stream, patience);
    let service = service_fn(move |mut request: Request<Incoming>| {
        progress.request_came();
        request.extensions_mut().insert(ConnectInfo(peer));
        let (router, progress) = (router.clone(), progress.clone());
        async move {
            let response = router.oneshot(request).await;
            progress.answer_went();
            response as Result<_, Infallible>
        }
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new())
        .header_read_timeout(None)
        .max_buf_size(HEAD_BYTES)
        .keep_alive(true);
    let mut connection = pin!(http.serve_connection(TokioIo::new(socket), service));
    let ended = tokio::select! {
        ended = connection.as_mut() => ended,
        () = told(&mut stop) => {
            connection.as_mut().graceful_shutdown();
            connection.await
        }
    };
    if let Err(cause) = ended {
        tracing::debug!(%cause, "a connection ended early");
    }
}
