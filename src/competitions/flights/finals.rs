//! Finals and the best of the show: poured again from what tables sent on, tasted side by side. Points of different tables are
//! never compared.

use std::collections::BTreeSet;

use axum::extract::{Path, State as Shared};
use serde_json::json;
use sqlx::PgConnection;

use super::making::{self, Asked};
use super::model::{Kind, State};
use super::pages::says;
use super::view::{self, Whole};
use super::{paths, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entries::{self, Entry};
use crate::competitions::model::{CategoryId, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::engine::contest::sheet::Agreed;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, see_other};
use crate::web::viewer::Member;

/// Judges at the table of a final.
const SEATS: usize = 3;
/// What stands for the best of the show in the form.
const BEST: &str = "best";

/// A final that can be made, or what it still waits for.
pub(super) struct Offer {
    pub heading: String,
    pub about: String,
    pub words: &'static str,
    pub action: String,
    /// The category's place in the list, or the word for the best of the show.
    pub of: String,
    pub ready: bool,
    kind: Kind,
    category: Option<CategoryId>,
    codes: BTreeSet<String>,
}

/// The flights of one category with what their tables agreed on.
struct OfCategory<'a> {
    flights: Vec<(&'a Whole, Option<&'a Agreed>)>,
}

impl OfCategory<'_> {
    fn of(&self, kind: Kind) -> impl Iterator<Item = &(&Whole, Option<&Agreed>)> {
        self.flights
            .iter()
            .filter(move |(whole, _)| whole.flight.kind == kind)
    }

    fn done(&self, kind: Kind) -> usize {
        self.of(kind)
            .filter(|(whole, agreed)| whole.flight.state == State::Done && agreed.is_some())
            .count()
    }

    /// The codes that its tables send on to its final.
    fn going_on(&self) -> BTreeSet<String> {
        let agreed = self.of(Kind::First).filter_map(|(_, agreed)| *agreed);
        agreed
            .flat_map(|agreed| &agreed.entries)
            .filter(|entry| entry.goes_on)
            .map(|entry| entry.code.clone())
            .collect()
    }

    /// The codes that won it, by its final or its only flight; none while that is open.
    fn won(&self) -> Option<BTreeSet<String>> {
        let last = match (self.of(Kind::Final).last(), self.of(Kind::First).count()) {
            (Some(last), _) => Some(last),
            (None, 1) => self.of(Kind::First).next(),
            (None, _) => None,
        };
        let (whole, agreed) = last?;
        let agreed = agreed.filter(|_| whole.flight.state == State::Done)?;
        let first = agreed.entries.iter().filter(|entry| entry.place == Some(1));
        Some(first.map(|entry| entry.code.clone()).collect())
    }
}

/// What can be made now, or is waited for.
pub(super) async fn offers(
    app: &App,
    conn: &mut PgConnection,
    opened: &Opened,
) -> Result<Vec<Offer>, sqlx::Error> {
    let id = opened.competition.id;
    let flights = Whole::all(conn, id).await?;
    let agreed = store::agreed(conn, id).await?;
    let categories = crate::competitions::store::categories(conn, id).await?;
    let action = view::at(app, opened, paths::MAKE_LAST);
    let mut offers = Vec::new();
    let mut won = Vec::new();
    for category in &categories {
        let own = flights
            .iter()
            .filter(|whole| whole.flight.category == Some(category.id));
        let of = OfCategory {
            flights: own
                .map(|whole| (whole, agreed.get(&whole.flight.id)))
                .collect(),
        };
        let (firsts, done) = (of.of(Kind::First).count(), of.done(Kind::First));
        if firsts > 0 {
            won.push(of.won());
        }
        if firsts > 1 && of.of(Kind::Final).count() == 0 && done > 0 {
            offers.push(Offer {
                heading: format!("The final of {}", category.name),
                about: format!("{done} of its {firsts} flights are done. What their tables sent on is poured side by side."),
                words: "Make the final",
                action: action.clone(),
                of: category.place.to_string(),
                ready: done == firsts,
                kind: Kind::Final,
                category: Some(category.id),
                codes: of.going_on(),
            });
        }
    }
    let has_best = flights.iter().any(|whole| whole.flight.kind == Kind::Best);
    let decided = won.iter().flatten().count();
    if won.len() > 1 && decided > 0 && !has_best {
        offers.push(Offer {
            heading: "The best of the show".to_owned(),
            about: format!(
                "{decided} of {} categories are decided. What won each is poured side by side, and every judge puts them in order.",
                won.len()
            ),
            words: "Make the best of the show",
            action,
            of: BEST.to_owned(),
            ready: decided == won.len(),
            kind: Kind::Best,
            category: None,
            codes: won.iter().flatten().flatten().cloned().collect(),
        });
    }
    Ok(offers)
}

/// Makes one of them.
pub(super) async fn make(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::MAKE_LAST).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::MakeFlights).await?;
    let of = posted.one("of")?;
    let offers = offers(&app, &mut tx, &opened).await?;
    let offer = offers
        .into_iter()
        .find(|offer| offer.of == of && offer.ready);
    let offer = offer.ok_or_else(|| {
        Error::conflict("It is made already, or not every table that leads to it has agreed yet.")
    })?;
    let about = write(&mut tx, &opened, &offer).await?;
    let deed = Deed {
        deed: "final_made",
        about,
        reason: "",
    };
    let competition = opened.competition.id;
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    let location = paths::FLIGHTS.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::MAKE_LAST, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

async fn write(
    conn: &mut PgConnection,
    opened: &Opened,
    offer: &Offer,
) -> Result<serde_json::Value, Error> {
    let entries = entries::store::all(conn, opened.competition.id).await?;
    let going: Vec<&Entry> = entries
        .iter()
        .filter(|entry| entry.withdrawn_at.is_none() && offer.codes.contains(&entry.code))
        .collect();
    let days = store::list(conn, opened.competition.id).await?;
    let last = days.iter().map(making::day_of).max().unwrap_or(1);
    // Where the day's glasses are drunk there is another day.
    let asked = Asked {
        seats: SEATS,
        days: last + 1,
    };
    let of = (offer.kind, offer.category);
    let made = making::last(conn, &opened.competition, of, &going, asked).await?;
    let codes: Vec<&str> = going.iter().map(|entry| entry.code.as_str()).collect();
    let without: Vec<&str> = made.left.iter().map(|(_, why)| says(*why)).collect();
    Ok(json!({ "of": offer.of, "codes": codes, "without a table": without }))
}
