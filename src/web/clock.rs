//! The time, as a parameter: tests set it, the server reads it from the machine.

use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, Utc};

/// Where the present instant comes from. Sessions, links and throttles are judged by the database's clock instead.
#[derive(Clone, Debug, Default)]
pub enum Clock {
    /// The machine's clock.
    #[default]
    Machine,
    /// An instant that a test moves by hand; clones share it.
    Set(Arc<Mutex<DateTime<Utc>>>),
}

impl Clock {
    /// A clock that stands at `instant` until it is moved.
    pub fn standing_at(instant: DateTime<Utc>) -> Clock {
        Clock::Set(Arc::new(Mutex::new(instant)))
    }

    /// The present instant.
    pub fn now(&self) -> DateTime<Utc> {
        match self {
            Clock::Machine => Utc::now(),
            Clock::Set(instant) => *instant.lock().unwrap_or_else(PoisonError::into_inner),
        }
    }

    /// Moves a standing clock; the machine's clock stays as it is.
    pub fn move_to(&self, to: DateTime<Utc>) {
        if let Clock::Set(instant) = self {
            *instant.lock().unwrap_or_else(PoisonError::into_inner) = to;
        }
    }
}
