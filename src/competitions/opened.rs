//! A competition as somebody opened it: what it is, and what they may do there. Every page of a competition starts from it.

use sqlx::PgConnection;

use super::model::{Competition, Duty, Phase};
use super::phases::{self, Act};
use super::store;
use crate::web::error::Error;
use crate::web::viewer::{Member, MemberId, Role};

/// A competition and the duties of whoever looks.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    pub competition: Competition,
    pub viewer: MemberId,
    pub duties: Vec<Duty>,
    /// Whether the viewer keeps the club.
    pub keeps: bool,
}

impl Opened {
    /// Opens it; what one may not see is not found.
    pub async fn read(
        conn: &mut PgConnection,
        member: &Member,
        competition: &str,
    ) -> Result<Opened, Error> {
        let found = store::find(conn, member.id, competition).await?;
        let competition = found.ok_or_else(Error::not_found)?;
        let duties = store::duties(conn, member.id, competition.id).await?;
        Ok(Opened {
            competition,
            viewer: member.id,
            duties,
            keeps: member.role == Role::Keeper,
        })
    }

    /// Whether this is one of the viewer's duties.
    pub fn has(&self, duty: Duty) -> bool {
        self.duties.contains(&duty)
    }

    /// Whether the viewer judges or pours, and so learns whose an entry is when everybody does. A rehearsal hides nothing.
    pub fn is_blind(&self) -> bool {
        let works = self.has(Duty::Judge) || self.has(Duty::Steward);
        works && self.competition.phase.is_blind() && !self.competition.rehearsal
    }

    /// Demands one of these duties: to everybody else the page is not there.
    pub fn demand(&self, duties: &[Duty]) -> Result<(), Error> {
        match duties.iter().any(|duty| self.has(*duty)) {
            true => Ok(()),
            false => Err(Error::not_found()),
        }
    }

    /// Whether `act` is possible where it stood when it was opened: for what a page offers.
    pub fn allows(&self, act: Act) -> bool {
        phases::allows(self.competition.phase, act)
    }

    /// Holds it until the end of the caller's transaction and demands that `act` is possible where it stands now.
    pub async fn hold(&self, conn: &mut PgConnection, act: Act) -> Result<Phase, Error> {
        let phase = store::hold(conn, self.competition.id).await?;
        phases::demand(phase, act)?;
        Ok(phase)
    }
}
