//! How far all sheets of a competition are, for organisers and stewards: no points, no words.

use std::collections::HashMap;

use askama::Template;
use axum::extract::{Path, State};

use super::model::{Deed, Stage};
use super::ways::{looks_after_sheets, walls};
use super::{paths, store, words};
use crate::app::App;
use crate::competitions::flights::model::{Flight, Kind};
use crate::competitions::flights::store as flights;
use crate::competitions::model::{EntryId, FlightId};
use crate::competitions::opened::Opened;
use crate::competitions::paths::COMPETITION;
use crate::competitions::shown::shell;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, MemberId};

/// A sheet in the list.
struct SheetRow {
    url: String,
    judge: String,
    says: &'static str,
}

/// A glass with its judges' sheets.
struct GlassPart {
    code: String,
    sheets: Vec<SheetRow>,
}

/// A flight in the list.
struct FlightPart {
    called: String,
    says: String,
    glasses: Vec<GlassPart>,
}

#[derive(Template)]
#[template(path = "competitions/judging/sheets.html")]
struct SheetsPage {
    shell: Shell,
    up_url: String,
    title: String,
    walled: bool,
    flights: Vec<FlightPart>,
}

type Stages = HashMap<(FlightId, EntryId, MemberId), Deed>;

pub(super) async fn sheets(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    if !looks_after_sheets(&opened) {
        return Err(Error::not_found());
    }
    let competition = opened.competition.id;
    let walls = walls(&mut conn, &opened).await?;
    let all = flights::list(&mut conn, competition).await?;
    let glasses = flights::glasses(&mut conn, competition).await?;
    let stages = store::stages(&mut conn, competition).await?;
    let stages: Stages = stages
        .into_iter()
        .map(|(flight, entry, judge, deed)| ((flight, entry, judge), deed))
        .collect();
    let mut parts = Vec::new();
    let sheets = |flight: &&Flight| !matches!(flight.kind, Kind::Final | Kind::Best);
    for flight in all.iter().filter(sheets) {
        let table = store::at_table(&mut conn, flight.id).await?;
        if table.iter().any(|seat| seat.judge == member.id) {
            continue;
        }
        let own = glasses
            .iter()
            .filter(|(of, glass)| *of == flight.id && !walls.contains(&glass.category));
        let part = |code: &str, entry| GlassPart {
            code: code.to_owned(),
            sheets: table
                .iter()
                .map(|seat| SheetRow {
                    url: app.site.base().link(&paths::PAPER.with(&[
                        &id,
                        flight.public_id.as_str(),
                        code,
                        seat.public_id.as_str(),
                    ])),
                    judge: seat.name.clone(),
                    says: words::stage(stage(&stages, (flight.id, entry, seat.judge))),
                })
                .collect(),
        };
        let of_it: Vec<GlassPart> = own
            .clone()
            .map(|(_, glass)| part(&glass.code, glass.entry))
            .collect();
        let settled = own.flat_map(|(_, glass)| table.iter().map(move |seat| (glass, seat)));
        let settled = settled.filter(|(glass, seat)| {
            let stage = stage(&stages, (flight.id, glass.entry, seat.judge));
            matches!(stage, Stage::Signed | Stage::SteppedBack)
        });
        parts.push(FlightPart {
            called: flight.called(),
            says: format!(
                "{} of {} sheets signed or stepped back from",
                settled.count(),
                of_it.len() * table.len()
            ),
            glasses: of_it,
        });
    }
    drop(conn);
    page(&SheetsPage {
        shell: shell(&app, &member),
        up_url: app.site.base().link(&COMPETITION.with(&[&id])),
        title: opened.competition.title.clone(),
        walled: !walls.is_empty(),
        flights: parts
            .into_iter()
            .filter(|part| !part.glasses.is_empty())
            .collect(),
    })
}

fn stage(stages: &Stages, of: (FlightId, EntryId, MemberId)) -> Stage {
    stages.get(&of).map_or(Stage::Blank, |deed| deed.stage())
}
