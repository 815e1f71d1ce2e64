//! The club's catalogue, kept in memory for as long as nobody changes it.

use std::sync::{Arc, Mutex, PoisonError};

use sqlx::PgConnection;

use super::store;
use crate::catalogue::club::ClubCatalogue;
use crate::web::viewer::{CatalogueState, Member};

/// What was read last, with the state of the rows that it was read from. Cheap to clone; clones share it.
#[derive(Clone, Debug, Default)]
pub struct Remembered(Arc<Mutex<Option<(CatalogueState, ClubCatalogue)>>>);

impl Remembered {
    /// The catalogue as the club sees it now. Another server may have changed it: each call asks, and reads only what
    /// is new.
    ///
    /// # Errors
    /// The database.
    pub async fn now(&self, conn: &mut PgConnection) -> Result<ClubCatalogue, sqlx::Error> {
        // Asked before it is read: what changes in between is read now and once more the next time, never missed.
        let state = store::state(&mut *conn).await?;
        self.as_of(state, conn).await
    }

    /// The catalogue as it was when this member asked for the page: that is known by whoever they are.
    ///
    /// # Errors
    /// The database.
    pub async fn for_page_of(
        &self,
        member: &Member,
        conn: &mut PgConnection,
    ) -> Result<ClubCatalogue, sqlx::Error> {
        match member.catalogue.clone() {
            Some(state) => self.as_of(state, conn).await,
            None => self.now(conn).await,
        }
    }

    async fn as_of(
        &self,
        state: CatalogueState,
        conn: &mut PgConnection,
    ) -> Result<ClubCatalogue, sqlx::Error> {
        if let Some((of, catalogue)) = &*self.0.lock().unwrap_or_else(PoisonError::into_inner)
            && *of == state
        {
            return Ok(catalogue.clone());
        }
        let read = store::club_catalogue(conn).await?;
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        *kept = Some((state, read.clone()));
        Ok(read)
    }
}
