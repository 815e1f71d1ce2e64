//! A judge at a table, before one glass: what every page of theirs starts from. Whoever does not sit there finds nothing.

use sqlx::PgConnection;

use super::model::Written;
use super::store;
use crate::competitions::flights::conflicts;
use crate::competitions::flights::model::{Flight, Glass, Kind};
use crate::competitions::flights::store as flights;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::{self, Act};
use crate::competitions::store as competitions;
use crate::web::error::Error;
use crate::web::viewer::Member;

/// A table at which the member sits.
pub struct AtTable {
    pub opened: Opened,
    pub flight: Flight,
    pub leads: bool,
    pub glasses: Vec<Glass>,
}

impl AtTable {
    /// Finds it.
    ///
    /// # Errors
    /// Not found where the member does not sit there, and before anything is judged.
    pub async fn read(
        conn: &mut PgConnection,
        member: &Member,
        (id, flight): (&str, &str),
    ) -> Result<AtTable, Error> {
        let opened = Opened::read(conn, member, id).await?;
        opened.demand(&[Duty::Judge])?;
        let competition = opened.competition.id;
        let flight = flights::find(conn, competition, flight).await?;
        let flight = flight.ok_or_else(Error::not_found)?;
        let table = store::at_table(conn, flight.id).await?;
        let own = table.iter().find(|seat| seat.judge == member.id);
        let leads = own.ok_or_else(Error::not_found)?.leads;
        if opened.competition.phase < Phase::Judging {
            return Err(Error::not_found());
        }
        let glasses = flights::glasses_of(conn, competition, flight.id).await?;
        Ok(AtTable {
            opened,
            flight,
            leads,
            glasses,
        })
    }

    /// Whether its glasses are put in order, with no sheets.
    pub fn is_ordered(&self) -> bool {
        matches!(self.flight.kind, Kind::Final | Kind::Best)
    }
}

/// A judge before a glass of which a sheet is written.
pub struct Seated {
    pub table: AtTable,
    pub glass: Glass,
}

impl Seated {
    /// Finds the glass of a code.
    ///
    /// # Errors
    /// Not found where the judge has no such glass.
    pub async fn read(
        conn: &mut PgConnection,
        member: &Member,
        (id, flight, code): (&str, &str, &str),
    ) -> Result<Seated, Error> {
        let table = AtTable::read(conn, member, (id, flight)).await?;
        let glass = table.glasses.iter().find(|glass| glass.code == code);
        let glass = glass.filter(|_| !table.is_ordered()).cloned();
        Ok(Seated {
            glass: glass.ok_or_else(Error::not_found)?,
            table,
        })
    }

    /// Holds the competition and asks everything again that must hold when a sheet is written: the phase, and that judge and
    /// entry may meet. The last row of the sheet.
    ///
    /// # Errors
    /// A conflict that tells nobody why.
    pub async fn hold(&self, conn: &mut PgConnection, act: Act) -> Result<Option<Written>, Error> {
        let competition = self.table.opened.competition.id;
        let judge = self.table.opened.viewer;
        let phase = competitions::hold(conn, competition).await?;
        let last = store::last(conn, self.table.flight.id, self.glass.entry, judge).await?;
        let mends = last.as_ref().is_some_and(|last| last.reopened);
        phases::demand(phase, if mends { Act::MendSheet } else { act })?;
        let forbidden = conflicts::forbidden(conn, competition).await?;
        // A sheet that was given back was signed before anything kept them apart: a refusal now would tell whose the entry is.
        if !mends && forbidden.has(judge, self.glass.entry) {
            return Err(Error::conflict(
                "You and this entry are kept apart, so nothing was written. Tell a steward; nobody is told why.",
            ));
        }
        Ok(last)
    }
}
