//! What the pages of flights have in common: flights with their glasses and tables, and how they read.

use sqlx::PgConnection;

use super::model::{Flight, Glass, Seat, State};
use super::{paths, store};
use crate::app::App;
use crate::competitions::model::CompetitionId;
use crate::competitions::opened::Opened;
use crate::competitions::shown::shell;
use crate::engine::contest::rules::Rules;
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::viewer::Member;
use crate::web::words::contest;

/// What stands around every page of this part.
pub(super) struct Around {
    pub shell: Shell,
    pub competition_url: String,
    pub title: String,
}

impl Around {
    pub fn of(app: &App, member: &Member, opened: &Opened) -> Around {
        Around {
            shell: shell(app, member),
            competition_url: at(app, opened, crate::competitions::paths::COMPETITION),
            title: opened.competition.title.clone(),
        }
    }
}

/// The address of a page of this competition.
pub(super) fn at(app: &App, opened: &Opened, route: Route) -> String {
    let id = opened.competition.public_id.as_str();
    app.site.base().link(&route.with(&[id]))
}

/// The address of a page of one of its flights.
pub(super) fn at_flight(app: &App, opened: &Opened, route: Route, flight: &Flight) -> String {
    app.site.base().link(&path_of(opened, route, flight))
}

/// The same below the base.
pub(super) fn path_of(opened: &Opened, route: Route, flight: &Flight) -> String {
    let id = opened.competition.public_id.as_str();
    route.with(&[id, flight.public_id.as_str()])
}

/// A flight with everything that belongs to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole {
    pub flight: Flight,
    pub glasses: Vec<Glass>,
    pub table: Vec<Seat>,
}

impl Whole {
    /// All of a competition, in the order in which they are tasted. Three readings, however many there are.
    pub async fn all(
        conn: &mut PgConnection,
        competition: CompetitionId,
    ) -> Result<Vec<Whole>, sqlx::Error> {
        let flights = store::list(conn, competition).await?;
        let glasses = store::glasses(conn, competition).await?;
        let tables = store::tables(conn, competition).await?;
        let whole = flights.into_iter().map(|flight| {
            let own = glasses.iter().filter(|(of, _)| *of == flight.id);
            let seats = tables.iter().filter(|(of, _)| *of == flight.id);
            Whole {
                glasses: own.map(|(_, glass)| glass.clone()).collect(),
                table: seats.map(|(_, seat)| seat.clone()).collect(),
                flight,
            }
        });
        Ok(whole.collect())
    }

    /// Names at the table, whoever leads first; "nobody yet".
    pub fn names(&self) -> String {
        let names: Vec<&str> = self.table.iter().map(|seat| seat.name.as_str()).collect();
        match names.as_slice() {
            [] => "nobody yet".to_owned(),
            names => names.join(", "),
        }
    }

    /// "7 glasses, 2 of them strong".
    pub fn counted(&self) -> String {
        let strong = self.glasses.iter().filter(|one| one.declared.is_strong());
        let glasses = match self.glasses.len() {
            1 => "1 glass".to_owned(),
            many => format!("{many} glasses"),
        };
        match strong.count() {
            0 => glasses,
            strong => format!("{glasses}, {strong} of them strong"),
        }
    }
}

/// A glass as a pouring list tells of it.
pub(super) struct GlassRow {
    pub place: i32,
    pub code: String,
    pub declared: String,
    pub special: String,
    pub note: String,
    pub allergens: String,
}

impl GlassRow {
    pub fn of(glass: &Glass) -> GlassRow {
        GlassRow {
            place: glass.place,
            code: glass.code.clone(),
            declared: contest::declared(&glass.declared),
            special: glass.declared.special.clone(),
            note: glass.declared.note.clone(),
            allergens: glass.declared.allergens.join(", "),
        }
    }
}

/// How far a flight is, in words.
pub(super) fn stands(state: State) -> &'static str {
    match state {
        State::Planned => "not poured yet",
        State::Poured => "on the table",
        State::Done => "done",
    }
}

/// "Day 1, round 2".
pub(super) fn when(flight: &Flight) -> String {
    format!("Day {}, round {}", flight.day, flight.session)
}

/// The address of one flight's page, in a list.
pub(super) fn flight_url(app: &App, opened: &Opened, flight: &Flight) -> String {
    at_flight(app, opened, paths::FLIGHT, flight)
}

/// How much a judge tastes, and how long they rest.
pub(super) fn rest_rule(rules: &Rules) -> String {
    let glasses = rules.glasses_a_day;
    match rules.rest_minutes {
        0 => format!("A judge tastes at most {glasses} glasses a day."),
        minutes => format!(
            "A judge tastes at most {glasses} glasses a day and rests {minutes} minutes between two flights."
        ),
    }
}
