//! How a competition of the scenario goes on: what is due in each phase, by the same functions as any other.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use serde_json::json;
use sqlx::PgConnection;

use super::told::{Mead, Told};
use crate::batches::{self, model::Shelf};
use crate::competitions::deeds::{self, Deed};
use crate::competitions::desk::deeds as desk;
use crate::competitions::entering::enter;
use crate::competitions::entering::model::Said;
use crate::competitions::entries::{Arrival, store as entries};
use crate::competitions::flights::making::{self, Asked};
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::organise::making::{Beginning, make};
use crate::competitions::organise::moving::{self, Stays, When};
use crate::competitions::organise::{roster, store as organise};
use crate::competitions::results::gather::gather;
use crate::competitions::results::store as results;
use crate::competitions::store;
use crate::demo::broken;
use crate::demo::people::MAREN;
use crate::engine::contest::account::account;
use crate::engine::contest::categories::Kind;
use crate::engine::contest::declared::Declared;
use crate::engine::contest::draw;
use crate::engine::contest::rules::Rules;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::{Member, MemberId};

/// A competition that goes on, with the moment at which it stands.
pub struct Running<'a> {
    ids: &'a HashMap<&'static str, MemberId>,
    pub(super) organiser: MemberId,
    public_id: String,
    pub(super) at: DateTime<Utc>,
}

fn beginning(told: &Told) -> Beginning {
    let kinds = told.categories.iter().map(|(name, about)| Kind {
        name: (*name).to_owned(),
        about: (*about).to_owned(),
        family: None,
        strength: None,
    });
    Beginning {
        title: told.title.to_owned(),
        rehearsal: false,
        rules: Rules {
            draw_from: "the lottery of the Saturday after the judging".to_owned(),
            drop_off_at: "the old boat house".to_owned(),
            merge_below: 3,
            flight_least: 3,
            ..Rules::default()
        },
        terms: told.terms.to_owned(),
        prizes: told.prizes.to_owned(),
        kinds: kinds.collect(),
    }
}

impl<'a> Running<'a> {
    /// Begins one with its roster.
    pub async fn begin(
        conn: &mut PgConnection,
        ids: &'a HashMap<&'static str, MemberId>,
        told: &Told,
        at: DateTime<Utc>,
    ) -> Result<Running<'a>, Error> {
        let id = |name: &str| ids.get(name).copied().ok_or_else(|| broken(name));
        let organiser = id(MAREN)?;
        let (competition, public_id) = make(conn, organiser, &beginning(told), at).await?;
        for (number, name) in told.judges.iter().enumerate() {
            organise::add_duty(conn, competition, id(name)?, Duty::Judge).await?;
            roster::store::set_experienced(conn, competition, id(name)?, number == 0).await?;
        }
        for name in told.stewards {
            organise::add_duty(conn, competition, id(name)?, Duty::Steward).await?;
        }
        Ok(Running {
            ids,
            organiser,
            public_id: public_id.as_str().to_owned(),
            at,
        })
    }

    /// One that was begun elsewhere.
    pub async fn of(
        conn: &mut PgConnection,
        ids: &'a HashMap<&'static str, MemberId>,
        organiser: &Member,
        public_id: &str,
        at: DateTime<Utc>,
    ) -> Result<Running<'a>, Error> {
        let opened = Opened::read(conn, organiser, public_id).await?;
        opened.demand(&[Duty::Organiser])?;
        Ok(Running {
            ids,
            organiser: organiser.id,
            public_id: public_id.to_owned(),
            at,
        })
    }

    /// As its organiser opens it.
    pub(super) async fn opened(&self, conn: &mut PgConnection) -> Result<Opened, Error> {
        let found = store::find(conn, self.organiser, &self.public_id).await?;
        Ok(Opened {
            competition: found.ok_or_else(|| broken(&self.public_id))?,
            viewer: self.organiser,
            duties: vec![Duty::Organiser],
            keeps: true,
        })
    }

    /// One of the scenario's people.
    pub(super) fn member(&self, name: &str) -> Result<MemberId, Error> {
        self.ids.get(name).copied().ok_or_else(|| broken(name))
    }

    /// Where it stands.
    pub async fn phase(&self, conn: &mut PgConnection) -> Result<Phase, Error> {
        Ok(self.opened(conn).await?.competition.phase)
    }

    /// Takes the next phase, a day later.
    pub async fn go_on(&mut self, conn: &mut PgConnection) -> Result<(), Error> {
        let opened = self.opened(conn).await?;
        let when = When {
            now: self.at,
            today: self.at.date_naive(),
        };
        let seen = opened.competition.phase;
        match moving::on(conn, &opened, seen, when).await {
            Ok(_) => {}
            Err(Stays::Error(error)) => return Err(error),
            Err(Stays::Missing(missing)) => return Err(broken(&missing.join(" "))),
        }
        self.at += TimeDelta::days(1);
        Ok(())
    }

    /// Everybody enters what the scenario has of them.
    pub async fn enter(&self, conn: &mut PgConnection, told: &Told) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition;
        let categories = store::categories(conn, competition.id).await?;
        for mead in told.meads {
            let lead = self.member(mead.by)?;
            let category = categories.get(mead.category);
            let said = Said {
                category: category.ok_or_else(|| broken(mead.name))?.id,
                declared: declared(mead),
                name: mead.name.to_owned(),
                batch: batch_of(conn, lead, mead.name).await?,
                together: Vec::new(),
            };
            let taken = enter(conn, &competition, lead, &said, self.at).await?;
            taken.map_err(|_| broken(mead.name))?;
        }
        Ok(())
    }

    /// What organisers, stewards and judges do before the next phase.
    pub async fn do_what_is_due(
        &mut self,
        conn: &mut PgConnection,
        meads: &[Mead],
    ) -> Result<(), Error> {
        match self.phase(conn).await? {
            Phase::Closed => self.receive(conn).await,
            Phase::Received => self.make_flights(conn).await,
            Phase::Judging => self.taste(conn, meads).await,
            Phase::Review => self.reckon(conn).await,
            _ => Ok(()),
        }
    }

    async fn receive(&self, conn: &mut PgConnection) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition.id;
        let at = desk::At {
            competition,
            by: self.organiser,
            now: self.at,
        };
        let came = desk::Came {
            arrival: Arrival::Here,
            bottles: 3,
            reason: String::new(),
        };
        for entry in entries::all(conn, competition).await? {
            desk::receive(conn, at, (&entry, entry.version), &came).await?;
            let received = entries::of_code(conn, competition, &entry.code).await?;
            let received = received.ok_or_else(|| broken(&entry.code))?;
            desk::check(conn, at, (&received, received.version), &[]).await?;
        }
        Ok(())
    }

    async fn make_flights(&self, conn: &mut PgConnection) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition;
        let asked = Asked { seats: 2, days: 1 };
        let made = making::all(conn, &competition, asked).await?;
        let about = json!({ "flights": made.flights });
        self.note(conn, ("flights_made", about), self.organiser)
            .await
    }

    async fn reckon(&self, conn: &mut PgConnection) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition;
        let number = "4 11 17 23 38 42";
        results::note_drawn(conn, competition.id, number, self.at).await?;
        let about = json!({ "before": null, "number": number });
        self.note(conn, ("draw_noted", about), self.organiser)
            .await?;
        let gathered = gather(conn, &competition).await?;
        let (answer, text) = account(&gathered.inputs);
        let hash = draw::sha256_bytes(&text);
        let frozen = (&gathered.inputs, &answer, &hash[..]);
        let number = results::freeze(conn, competition.id, frozen, self.at).await?;
        let about = json!({ "results": number, "hash": draw::sha256(&text) });
        self.note(conn, ("reckoned", about), self.organiser).await
    }

    /// Writes a deed into the chain.
    pub(super) async fn note(
        &self,
        conn: &mut PgConnection,
        (deed, about): (&str, serde_json::Value),
        by: MemberId,
    ) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition.id;
        let deed = Deed {
            deed,
            about,
            reason: "",
        };
        deeds::write(conn, competition, Some(by), &deed, self.at).await?;
        Ok(())
    }
}

fn declared(mead: &Mead) -> Declared {
    Declared {
        abv_percent: mead.abv_percent,
        sweetness: mead.sweetness,
        sparkle: mead.sparkle,
        character: mead.character,
        special: mead.special.to_owned(),
        ..Declared::default()
    }
}

/// The batch of that name, where there is one.
async fn batch_of(
    conn: &mut PgConnection,
    owner: MemberId,
    name: &str,
) -> Result<Option<PublicId>, Error> {
    for shelf in [Shelf::Going, Shelf::Done] {
        let lines = batches::store::list(conn, owner, shelf, None, 100).await?;
        let found = lines.into_iter().find(|line| line.name == name);
        if let Some(line) = found {
            return Ok(Some(line.public_id));
        }
    }
    Ok(None)
}
