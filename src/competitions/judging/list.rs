//! What stands before a judge: their flights in order, each glass with how far its sheet is.

use std::collections::HashMap;

use askama::Template;
use axum::extract::{Path, State};

use super::model::{Deed, Stage};
use super::{paths, store, words};
use crate::app::App;
use crate::competitions::flights::model::{Flight, Glass, Kind, State as Progress};
use crate::competitions::flights::store as flights;
use crate::competitions::model::{Duty, EntryId, FlightId, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::paths::COMPETITION;
use crate::competitions::shown::shell;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// A glass in a list.
struct GlassRow {
    url: String,
    code: String,
    about: String,
}

/// A flight in the list.
struct FlightPart {
    url: String,
    called: String,
    says: &'static str,
    glasses: Vec<GlassRow>,
}

#[derive(Template)]
#[template(path = "competitions/judging/list.html")]
struct ListPage {
    shell: Shell,
    up_url: String,
    title: String,
    says: String,
    begins_url: Option<String>,
    flights: Vec<FlightPart>,
}

/// The judge's own stages, by flight and entry.
type Own = HashMap<(FlightId, EntryId), Deed>;

fn stage_of(own: &Own, flight: FlightId, entry: EntryId) -> Stage {
    match own.get(&(flight, entry)) {
        None => Stage::Blank,
        Some(deed) => deed.stage(),
    }
}

/// What a flight waits for.
fn says(flight: &Flight, waits: bool) -> &'static str {
    match (flight.state, flight.kind) {
        (Progress::Done, _) => "done",
        (Progress::Planned, _) => "not poured yet",
        (Progress::Poured, Kind::Final | Kind::Best) => "poured: put its glasses in order",
        (Progress::Poured, _) if waits => "poured: it stands before you",
        (Progress::Poured, _) => "you have signed all of it; the table agrees next",
    }
}

pub(super) async fn list(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Judge])?;
    let competition = opened.competition.id;
    let own = flights::of_judge(&mut conn, competition, member.id).await?;
    let glasses = flights::glasses(&mut conn, competition).await?;
    let stages = store::stages(&mut conn, competition).await?;
    drop(conn);
    let stages: Own = stages
        .into_iter()
        .filter(|(_, _, judge, _)| *judge == member.id)
        .map(|(flight, entry, _, deed)| ((flight, entry), deed))
        .collect();
    let begun = opened.competition.phase >= Phase::Judging;
    let own: Vec<Flight> = own.into_iter().filter(|_| begun).collect();
    let base = app.site.base();
    let part = |flight: &Flight| {
        let of_it = glasses.iter().filter(|(of, _)| *of == flight.id);
        let row = |glass: &Glass| GlassRow {
            url: base.link(&sheet_path(&id, flight, glass)),
            code: glass.code.clone(),
            about: format!(
                "{}: {}",
                words::declared(&glass.declared),
                words::stage(stage_of(&stages, flight.id, glass.entry))
            ),
        };
        let waits = of_it
            .clone()
            .any(|(_, glass)| waits(&stages, flight, glass));
        FlightPart {
            url: base.link(&paths::TABLE.with(&[&id, flight.public_id.as_str()])),
            called: flight.called(),
            says: says(flight, waits),
            glasses: match flight.kind {
                Kind::Final | Kind::Best => Vec::new(),
                _ => of_it.map(|(_, glass)| row(glass)).collect(),
            },
        }
    };
    // Where to begin: the first glass that is poured and waits.
    let poured = own.iter().filter(|flight| flight.state == Progress::Poured);
    let first = poured.flat_map(|flight| {
        let of_it = glasses.iter().filter(move |(of, _)| *of == flight.id);
        of_it.map(move |(_, glass)| (flight, glass))
    });
    let mut first = first.filter(|(flight, glass)| waits(&stages, flight, glass));
    let begins_url = first
        .next()
        .map(|(flight, glass)| base.link(&sheet_path(&id, flight, glass)));
    page(&ListPage {
        shell: shell(&app, &member),
        up_url: base.link(&COMPETITION.with(&[&id])),
        title: opened.competition.title.clone(),
        says: lead(begun, own.len()),
        begins_url,
        flights: own.iter().map(part).collect(),
    })
}

fn sheet_path(id: &str, flight: &Flight, glass: &Glass) -> String {
    paths::SHEET.with(&[id, flight.public_id.as_str(), &glass.code])
}

fn waits(stages: &Own, flight: &Flight, glass: &Glass) -> bool {
    let stage = stage_of(stages, flight.id, glass.entry);
    let sheets = !matches!(flight.kind, Kind::Final | Kind::Best);
    sheets && matches!(stage, Stage::Blank | Stage::Begun)
}

fn lead(begun: bool, flights: usize) -> String {
    match (begun, flights) {
        (false, _) => {
            "Nothing is judged yet. Your flights stand here when judging begins.".to_owned()
        }
        (true, 0) => "You sit at no table. An organiser knows why, or finds you one.".to_owned(),
        (true, 1) => "You taste one flight.".to_owned(),
        (true, many) => format!("You taste {many} flights, in this order."),
    }
}
