//! Work that takes memory and time: packing and unpacking files. One at a time, so that nobody else waits for it.

use std::time::Duration;

use tokio::sync::{Semaphore, SemaphorePermit};

use crate::web::Error;

static TURNS: Semaphore = Semaphore::const_new(1);

/// How long somebody waits for their turn.
const PATIENCE: Duration = Duration::from_secs(5);

/// Waits for one's turn, which lasts until the answer is dropped.
///
/// # Errors
/// Busy, when the others take too long.
pub async fn turn() -> Result<SemaphorePermit<'static>, Error> {
    match tokio::time::timeout(PATIENCE, TURNS.acquire()).await {
        Ok(Ok(turn)) => Ok(turn),
        _ => Err(Error::busy(10)),
    }
}
