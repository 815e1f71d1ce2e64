//! An answer that is sent while it is made, piece by piece, so that a long one takes no more memory than a short one.

use std::pin::Pin;
use std::task::{Context, Poll};

use axum::body::{Body, Bytes, HttpBody};
use hyper::body::Frame;
use tokio::sync::mpsc::{Receiver, Sender, channel};

use super::error::Error;

/// Pieces that wait for a slow reader.
const WAITING: usize = 2;

/// Why an answer ends before its end: the connection breaks, so that nobody takes a part for the whole.
#[derive(Debug, thiserror::Error)]
#[error("an answer broke off while it was made")]
struct BrokenOff;

struct Flow(Receiver<Result<Bytes, BrokenOff>>);

impl HttpBody for Flow {
    type Data = Bytes;
    type Error = BrokenOff;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, BrokenOff>>> {
        let piece = self.0.poll_recv(context);
        piece.map(|piece| piece.map(|bytes| bytes.map(Frame::data)))
    }
}

/// Where the pieces of an answer go.
pub struct Pieces(Sender<Result<Bytes, BrokenOff>>);

impl Pieces {
    /// Sends a piece, once the reader has taken the earlier ones. False when nobody reads any more.
    pub async fn send(&self, bytes: Vec<u8>) -> bool {
        self.0.send(Ok(bytes.into())).await.is_ok()
    }
}

/// The body of an answer whose pieces `make` sends.
pub fn flow<F>(make: impl FnOnce(Pieces) -> F) -> Body
where
    F: Future<Output = Result<(), Error>> + Send + 'static,
{
    let (to, from) = channel(WAITING);
    let made = make(Pieces(to.clone()));
    tokio::spawn(async move {
        if let Err(fault) = made.await {
            tracing::error!(%fault, "an answer broke off");
            // Nobody may be reading any more.
            let _ = to.send(Err(BrokenOff)).await;
        }
    });
    Body::new(Flow(from))
}
