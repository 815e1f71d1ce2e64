//! The accept loop: so many connections, each with limits to its patience, drained at the end.

mod address;
mod listener;

use std::convert::Infallible;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderValue, header};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;
use tokio::time::sleep;
use tower::ServiceExt;

pub use self::address::Address;
pub use self::listener::{Listener, Peer, Stream};
use super::metrics::counts;
use super::socket::{Patience, Socket};

/// A path of 8 KiB and headers of 16 KiB.
const HEAD_BYTES: usize = 24 * 1024;

/// How long a connection that is silent when the server stops may still bring a request: one that was sent before its
/// sender could know is answered and not lost.
const LAST_CALL: Duration = Duration::from_millis(300);

/// The limits of the loop.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Connections at once; more wait outside.
    pub connections: usize,
    /// How long silence may last.
    pub patience: Patience,
    /// How long connections are still taken once the server stops; whoever knocked before is let in.
    pub handover: Duration,
    /// How long answers under way may take after that.
    pub drain: Duration,
    /// Whether its connections are among those that the metrics tell.
    pub counted: bool,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            connections: 1_000,
            patience: Patience {
                head: Duration::from_secs(10),
                idle: Duration::from_secs(60),
                write: Duration::from_secs(30),
                body: Duration::from_secs(30),
            },
            handover: Duration::from_millis(100),
            drain: Duration::from_secs(10),
            counted: true,
        }
    }
}

/// Answers on `listener` until `stop` says so, then lets answers under way end.
pub async fn serve(
    listener: impl Into<Listener>,
    router: Router,
    limits: Limits,
    stop: watch::Receiver<bool>,
) {
    let listener = listener.into();
    let room = Arc::new(Semaphore::new(limits.connections));
    let mut connections = JoinSet::new();
    let mut closed = pin!(async {
        told(&mut stop.clone()).await;
        sleep(limits.handover).await;
    });
    loop {
        let accepted = tokio::select! {
            () = closed.as_mut() => break,
            accepted = accept(&listener, &room) => accepted,
        };
        let Some((stream, peer, place)) = accepted else {
            continue;
        };
        let (router, stop) = (router.clone(), stop.clone());
        let counted = limits.counted.then(|| counts().connection());
        connections.spawn(async move {
            let _counted = counted;
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

type Accepted = (Stream, Peer, tokio::sync::OwnedSemaphorePermit);

async fn accept(listener: &Listener, room: &Arc<Semaphore>) -> Option<Accepted> {
    let place = Arc::clone(room).acquire_owned().await.ok()?;
    match listener.accept().await {
        Ok((stream, peer)) => Some((stream, peer, place)),
        Err(cause) => {
            // Out of file descriptors, most likely: give those that are open time to close.
            tracing::warn!(%cause, "a connection was not accepted");
            tokio::time::sleep(Duration::from_millis(100)).await;
            None
        }
    }
}

async fn converse(
    stream: Stream,
    peer: Peer,
    router: Router,
    patience: Patience,
    mut stop: watch::Receiver<bool>,
) {
    let (socket, progress) = Socket::new(stream, patience);
    let stopping = stop.clone();
    let service = service_fn(move |mut request: Request<Incoming>| {
        progress.request_came();
        request.extensions_mut().insert(peer);
        request.extensions_mut().insert(patience);
        let (router, progress) = (router.clone(), progress.clone());
        let stopping = stopping.clone();
        async move {
            let mut response = router.oneshot(request).await;
            let stops = *stopping.borrow();
            if let (true, Ok(response)) = (stops, &mut response) {
                let close = HeaderValue::from_static("close");
                response.headers_mut().insert(header::CONNECTION, close);
            }
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
        () = async { told(&mut stop).await; sleep(LAST_CALL).await } => {
            connection.as_mut().graceful_shutdown();
            connection.await
        }
    };
    if let Err(cause) = ended {
        tracing::debug!(%cause, "a connection ended early");
    }
}
