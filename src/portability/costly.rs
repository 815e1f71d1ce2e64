//! Work that takes memory and time: packing and unpacking files. One at a time, so that nobody else waits for it.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::{Semaphore, SemaphorePermit};

use crate::web::Error;

static TURNS: Semaphore = Semaphore::const_new(1);

/// How long somebody waits for their turn.
const PATIENCE: Duration = Duration::from_secs(5);

/// One's turn: it lasts until the answer is dropped, and as long as its work goes on.
#[derive(Clone)]
pub struct Turn {
    _permit: Arc<SemaphorePermit<'static>>,
}

impl Turn {
    /// Does work on a thread of its own. Whoever asked may be gone before it is done.
    ///
    /// # Errors
    /// When that thread fails.
    pub async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Error> {
        let turn = self.clone();
        let done = tokio::task::spawn_blocking(move || {
            let _turn = turn;
            work()
        });
        done.await.map_err(Error::unexpected)
    }
}

/// Waits for one's turn.
///
/// # Errors
/// Busy, when the others take too long.
pub async fn turn() -> Result<Turn, Error> {
    match tokio::time::timeout(PATIENCE, TURNS.acquire()).await {
        Ok(Ok(permit)) => Ok(Turn {
            _permit: Arc::new(permit),
        }),
        _ => Err(Error::busy(10)),
    }
}
