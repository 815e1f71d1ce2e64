//! The competitions of the scenario: one that is over, one that its organiser looks through, a rehearsal at its tables, one that is
//! open for entries, and the draft of the next.

mod running;
mod sheets;
mod told;

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::PgConnection;

use self::running::Running;
use self::told::{AUTUMN, SHOWN, SPRING, TASTED, Told};
use super::broken;
use super::people::{INES, MAREN, OSKAR, PEOPLE, TOBIAS};
use crate::app::App;
use crate::competitions::model::Phase;
use crate::competitions::organise::making::{Beginning, make};
use crate::competitions::organise::moving::When;
use crate::competitions::organise::waters::rehearse;
use crate::members::roll::store::list_roll;
use crate::web::dates::date;
use crate::web::error::Error;
use crate::web::viewer::{Member, MemberId, Role};

/// Days since the rehearsal.
const REHEARSED_DAYS_AGO: i64 = 3;

/// Makes all of them, the oldest first.
pub async fn furnish(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut conn = app.pool.acquire().await?;
    for (told, until) in [
        (&AUTUMN, Phase::Released),
        (&TASTED, Phase::Review),
        (&SPRING, Phase::Open),
    ] {
        hold(&mut conn, ids, (told, until), now).await?;
    }
    rehearsal(&mut conn, ids, now).await?;
    if let Some(maren) = ids.get(MAREN) {
        let next = Beginning {
            title: "Meads for midsummer".to_owned(),
            ..Beginning::default()
        };
        make(&mut conn, *maren, &next, now).await?;
    }
    Ok(())
}

/// Holds one, up to the phase in which it stands now.
async fn hold(
    conn: &mut PgConnection,
    ids: &HashMap<&'static str, MemberId>,
    (told, until): (&Told, Phase),
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let at = now - TimeDelta::days(told.days_ago);
    let mut running = Running::begin(conn, ids, told, at).await?;
    running.go_on(conn).await?;
    running.enter(conn, told).await?;
    while running.phase(conn).await? < until {
        running.do_what_is_due(conn, told.meads).await?;
        running.go_on(conn).await?;
    }
    Ok(())
}

/// A rehearsal in which the member who signs in has two waters before them, and a steward's duty besides.
async fn rehearsal(
    conn: &mut PgConnection,
    ids: &HashMap<&'static str, MemberId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let at = now - TimeDelta::days(REHEARSED_DAYS_AGO);
    let id = |name: &str| ids.get(name).copied().ok_or_else(|| broken(name));
    let maren = organiser(conn, id(MAREN)?).await?;
    let others = [id(TOBIAS)?, id(INES)?, id(OSKAR)?];
    let today = at.date_naive();
    let when = When { now: at, today };
    let public_id = rehearse(conn, &maren, &others, &date(today), when).await?;
    let mut running = Running::of(conn, ids, &maren, public_id.as_str(), at).await?;
    while running.phase(conn).await? < Phase::Judging {
        running.do_what_is_due(conn, SHOWN).await?;
        running.go_on(conn).await?;
    }
    running.begin_to_taste(conn, id(OSKAR)?).await
}

/// The keeper, as pages know her.
async fn organiser(conn: &mut PgConnection, id: MemberId) -> Result<Member, Error> {
    let roll = list_roll(conn).await?;
    let entry = roll.into_iter().find(|entry| entry.id == id);
    let entry = entry.ok_or_else(|| broken(MAREN))?;
    let person = PEOPLE.iter().find(|person| person.name == MAREN);
    Ok(Member {
        id,
        public_id: entry.public_id,
        name: entry.name,
        role: Role::Keeper,
        settings: person.ok_or_else(|| broken(MAREN))?.settings(),
        session: 0,
        book_closed: false,
        catalogue: None,
    })
}
