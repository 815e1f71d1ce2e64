//! A connection that gives up: on a head that does not come, on a browser that stays silent, on one that stops reading.

use std::io;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll, ready};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep};

use super::listen::Stream;

/// The longest that somebody may take to read one answer, in whatever small pieces.
const LONGEST_ANSWER: Duration = Duration::from_secs(15 * 60);

/// How long each kind of silence may last, and a form altogether.
#[derive(Clone, Copy, Debug)]
pub struct Patience {
    /// From the first byte of a head, or from the opening of the connection, to the end of the head.
    pub head: Duration,
    /// Between an answer and the next request.
    pub idle: Duration,
    /// Without a byte taken by the other side.
    pub write: Duration,
    /// From the end of a head to the end of a form that follows it. Travels with the request: whoever reads the form
    /// keeps to it.
    pub body: Duration,
}

/// What a connection is waiting for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Head,
    Busy,
    Idle,
}

/// The phase and its beginning, shared with the service that answers on the connection.
#[derive(Clone, Debug)]
pub struct Progress(Arc<Mutex<(Phase, Instant)>>);

impl Progress {
    fn now(&self) -> (Phase, Instant) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn enter(&self, phase: Phase) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = (phase, Instant::now());
    }

    /// A whole head is there; its body has a limit of its own.
    pub fn request_came(&self) {
        self.enter(Phase::Busy);
    }

    /// The answer is on its way.
    pub fn answer_went(&self) {
        self.enter(Phase::Idle);
    }
}

/// A connection with limits to its patience.
pub struct Socket {
    stream: Stream,
    patience: Patience,
    progress: Progress,
    reading: Pin<Box<Sleep>>,
    armed_for: Option<(Phase, Instant)>,
    writing: Pin<Box<Sleep>>,
    write_stalls: bool,
    /// Since when an answer is being sent whose head is written.
    sending: Option<Instant>,
}

impl Socket {
    /// Wraps a fresh connection.
    pub fn new(stream: Stream, patience: Patience) -> (Socket, Progress) {
        let progress = Progress(Arc::new(Mutex::new((Phase::Head, Instant::now()))));
        let socket = Socket {
            stream,
            patience,
            progress: progress.clone(),
            reading: Box::pin(sleep(patience.head)),
            armed_for: None,
            writing: Box::pin(sleep(patience.write)),
            write_stalls: false,
            sending: None,
        };
        (socket, progress)
    }

    fn wait_for_bytes(&mut self, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        loop {
            let now = self.progress.now();
            if self.armed_for != Some(now) {
                let (phase, since) = now;
                let until = since
                    + if phase == Phase::Head {
                        self.patience.head
                    } else {
                        self.patience.idle
                    };
                self.armed_for = Some(now);
                self.reading.as_mut().reset(until);
            }
            ready!(self.reading.as_mut().poll(cx));
            match self.progress.now() {
                // Whoever reads is not asked again when an answer has gone out, so the alarm also runs while one is
                // being made; here it only looks again.
                (Phase::Busy, _) => self.progress.enter(Phase::Busy),
                after if Some(after) != self.armed_for => {}
                _ => return Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            }
        }
    }

    /// Some of an answer was taken: as long as it goes out, the connection does not rest.
    fn goes_on(&mut self) {
        if self.progress.now().0 == Phase::Idle {
            let since = *self.sending.get_or_insert_with(Instant::now);
            if since.elapsed() < LONGEST_ANSWER {
                self.progress.enter(Phase::Idle);
            }
        }
    }

    fn watch_write<T>(
        &mut self,
        cx: &mut Context<'_>,
        polled: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if polled.is_ready() {
            self.write_stalls = false;
            self.goes_on();
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
                if buf.filled().len() > before && self.progress.now().0 == Phase::Idle {
                    self.sending = None;
                    self.progress.enter(Phase::Head);
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
