//! Room for forms with a large file in them: how many are held in memory at a time, and how many of one member.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::error::Error;
use super::viewer::MemberId;

/// Of all members, at a time.
const AT_ONCE: usize = 6;
/// Of one member, so that nobody takes the room of everybody.
const OF_ONE: usize = 2;
/// How long somebody waits for others to be done: what is left of a request's time is for sending.
const PATIENCE: Duration = Duration::from_secs(4);

/// Left in requests whose form holds a file that may be large.
#[derive(Clone, Copy, Debug)]
pub struct Large;

/// The room of one server. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Room {
    places: Arc<Semaphore>,
    taken: Arc<Mutex<HashMap<MemberId, usize>>>,
    patience: Duration,
}

/// Room for one form, until this is dropped.
#[derive(Debug)]
pub struct Place {
    of: MemberId,
    taken: Arc<Mutex<HashMap<MemberId, usize>>>,
    /// Nothing before it is this member's turn.
    place: Option<OwnedSemaphorePermit>,
}

impl Default for Room {
    fn default() -> Room {
        Room {
            places: Arc::new(Semaphore::new(AT_ONCE)),
            taken: Arc::default(),
            patience: PATIENCE,
        }
    }
}

impl Room {
    /// A place for a form of this member, who waits for the others' if need be.
    ///
    /// # Errors
    /// Busy, when the member sends as many already as one may, or the others take too long.
    pub async fn place(&self, of: MemberId) -> Result<Place, Error> {
        let mut place = self.counted(of).ok_or_else(|| Error::busy(5))?;
        let waited = tokio::time::timeout(self.patience, self.places.clone().acquire_owned()).await;
        place.place = waited.ok().and_then(Result::ok);
        match place.place {
            Some(_) => Ok(place),
            None => Err(Error::busy(5)),
        }
    }

    fn counted(&self, of: MemberId) -> Option<Place> {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let count = taken.entry(of).or_default();
        if *count == OF_ONE {
            return None;
        }
        *count += 1;
        Some(Place {
            of,
            taken: self.taken.clone(),
            place: None,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        match taken.get_mut(&self.of) {
            Some(count) if *count > 1 => *count -= 1,
            _ => {
                taken.remove(&self.of);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn one_member_takes_two_places_and_leaves_the_rest_to_others() {
        let room = Room::default();
        let held = [room.place(MemberId(1)).await, room.place(MemberId(1)).await];
        assert!(held.iter().all(Result::is_ok));
        assert!(room.place(MemberId(1)).await.is_err());
        assert!(room.place(MemberId(2)).await.is_ok());
        drop(held);
        assert!(room.place(MemberId(1)).await.is_ok());
        assert!(room.taken.lock().unwrap().is_empty());
    }

    #[tokio::test]
    async fn when_all_places_are_taken_somebody_waits_and_is_told_in_the_end() {
        let room = Room {
            patience: Duration::from_millis(50),
            ..Room::default()
        };
        let mut held = Vec::new();
        for member in 1..=6 {
            held.push(room.place(MemberId(member)).await.unwrap());
        }
        assert!(room.place(MemberId(7)).await.is_err());
        let room = Room {
            patience: Duration::from_secs(60),
            ..room
        };
        let waiting = tokio::spawn(async move { room.place(MemberId(7)).await.is_ok() });
        tokio::task::yield_now().await;
        assert!(!waiting.is_finished());
        drop(held.pop());
        assert!(waiting.await.unwrap());
    }
}
