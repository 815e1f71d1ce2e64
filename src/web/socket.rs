//! A connection that gives up: on a head that does not come, on a browser that stays silent, on one that stops reading.

use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::task::{Context, Poll, ready};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::time::{Instant, Sleep, sleep};

/// How long each kind of silence may last.
#[derive(Clone, Copy, Debug)]
pub struct Patience {
    /// From the first byte of a head, or from the opening of the connection, to the end of the head.
    pub head: Duration,
    /// Between an answer and the next request.
    pub idle: Duration,
    /// Without a byte taken by the other side.
    pub write: Duration,
}

/// What a connection is waiting for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
enum Phase {
    Head,
    Busy,
    Idle,
}

/// The phase, shared with the service that answers on the connection.
#[derive(Clone, Debug)]
pub struct Progress(Arc<AtomicU8>);

impl Progress {
    fn phase(&self) -> Phase {
        match self.0.load(Ordering::Relaxed) {
            0 => Phase::Head,
            1 => Phase::Busy,
            _ => Phase::Idle,
        }
    }

    fn set(&self, phase: Phase) {
        self.0.store(phase as u8, Ordering::Relaxed);
    }

    /// A whole head is there; its body has a limit of its own.
    pub fn request_came(&self) {
        self.set(Phase::Busy);
    }

    /// The answer is on its way.
    pub fn answer_went(&self) {
        self.set(Phase::Idle);
    }
}

/// A TCP connection with limits to its patience.
pub struct Socket {
    stream: TcpStream,
    patience: Patience,
    progress: Progress,
    reading: Pin<Box<Sleep>>,
    armed_for: Option<Phase>,
    writing: Pin<Box<Sleep>>,
    write_stalls: bool,
}

impl Socket {
    /// Wraps a fresh connection.
    pub fn new(stream: TcpStream, patience: Patience) -> (Socket, Progress) {
        let progress = Progress(Arc::new(AtomicU8::new(Phase::Head as u8)));
        let socket = Socket {
            stream,
            patience,
            progress: progress.clone(),
            reading: Box::pin(sleep(patience.head)),
            armed_for: None,
            writing: Box::pin(sleep(patience.write)),
            write_stalls: false,
        };
        (socket, progress)
    }

    fn wait_for_bytes(&mut self, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let phase = self.progress.phase();
        let limit = match phase {
            Phase::Head => self.patience.head,
            Phase::Idle => self.patience.idle,
            Phase::Busy => return Poll::Pending,
        };
        if self.armed_for != Some(phase) {
            self.armed_for = Some(phase);
            self.reading.as_mut().reset(Instant::now() + limit);
        }
        ready!(self.reading.as_mut().poll(cx));
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }

    fn watch_write<T>(
        &mut self,
        cx: &mut Context<'_>,
        polled: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if polled.is_ready() {
            self.write_stalls = false;
            return polled;
        }
        if !self.write_stalls {
            self.write_stalls = true;
            let until = Instant::now() + self.patience.write;
            self.writing.as_mut().reset(until);
        }
        ready!(self.writing.as_mut().poll(cx));
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

impl AsyncRead for Socket {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let before = buf.filled().len();
        match Pin::new(&mut self.stream).poll_read(cx, buf) {
            Poll::Pending => self.wait_for_bytes(cx),
            Poll::Ready(done) => {
                if buf.filled().len() > before && self.progress.phase() == Phase::Idle {
                    self.progress.set(Phase::Head);
                    self.armed_for = None;
                }
                Poll::Ready(done)
            }
        }
    }
}

impl AsyncWrite for Socket {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let polled = Pin::new(&mut self.stream).poll_write(cx, bytes);
        self.watch_write(cx, polled)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        slices: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let polled = Pin::new(&mut self.stream).poll_write_vectored(cx, slices);
        self.watch_write(cx, polled)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}
