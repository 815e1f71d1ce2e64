//! Tries once more what the database undid because others worked at the same rows: nobody should have to send it again.

use std::time::Duration;

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::error::Error;
use super::form::Posted;

/// How often it is tried again.
const TIMES: u32 = 3;
/// The longest pause before the first of them; it doubles.
const PAUSE_MS: u64 = 40;

/// Lets a request through, up to three times more while the database says that others were in its way.
pub async fn try_again(request: Request, next: Next) -> Response {
    let (parts, body) = request.into_parts();
    let bytes = match parts.extensions.get::<Posted>() {
        _ if parts.method.is_safe() => Bytes::new(),
        // The layer above has read it whole, and bounded it.
        Some(posted) if !posted.is_empty() => match to_bytes(body, usize::MAX).await {
            Ok(bytes) => bytes,
            Err(_) => return Error::too_large().into_response(),
        },
        // What a program or a file sends is left to its sender, who is told when to come again.
        _ => return next.run(Request::from_parts(parts, body)).await,
    };
    let mut time = 0;
    loop {
        let request = Request::from_parts(parts.clone(), Body::from(bytes.clone()));
        let response = next.clone().run(request).await;
        let error = response.extensions().get::<Error>();
        if time == TIMES || !error.is_some_and(Error::was_in_the_way) {
            return response;
        }
        tracing::info!("others were in the way; tried again");
        tokio::time::sleep(pause(time)).await;
        time += 1;
    }
}

/// By chance, so that those who were in each other's way do not meet again.
fn pause(time: u32) -> Duration {
    let mut byte = [0u8; 1];
    // Without randomness the pauses are merely alike.
    let _ = getrandom::fill(&mut byte);
    let most = PAUSE_MS << time;
    Duration::from_millis(1 + most * u64::from(byte[0]) / 256)
}
