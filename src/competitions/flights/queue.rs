//! The queue: which flight is on which table, what is poured next, and who rests until when.

use askama::Template;
use axum::extract::{Path, State as Shared};

use super::calibration;
use super::model::State;
use super::paths;
use super::pour::rests;
use super::view::{self, Around, Whole};
use crate::app::App;
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// A flight in the queue.
struct Row {
    url: String,
    called: String,
    names: String,
    about: String,
}

#[derive(Template)]
#[template(path = "competitions/flights/queue.html")]
struct QueuePage {
    shell: Shell,
    competition_url: String,
    title: String,
    calibration: Option<(String, String)>,
    on_tables: Vec<Row>,
    next: Vec<Row>,
    later: Vec<Row>,
    done: usize,
    all: usize,
}

pub(super) async fn show(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser, Duty::Steward])?;
    if !opened.allows(Act::ReadPours) {
        return Err(Error::not_found());
    }
    let all = Whole::all(&mut conn, opened.competition.id).await?;
    let mead = calibration::store::find(&mut conn, opened.competition.id).await?;
    drop(conn);
    let around = Around::of(&app, &member, &opened);
    let now = app.clock.now();
    let rules = &opened.competition.rules;
    let row = |whole: &Whole| {
        let flight = &whole.flight;
        let (until, tasting) = rests(whole, &all, rules, now);
        let waits = match (flight.state, tasting.as_slice(), until) {
            (State::Poured, ..) => flight
                .poured_at
                .map(|at| format!(", since {}", moment(at, member.settings.zone))),
            (_, [], None) => None,
            (_, [], Some(until)) => Some(format!(
                ", the table rests until {}",
                moment(until, member.settings.zone)
            )),
            (_, names, _) => Some(format!(", still at another flight: {}", names.join(", "))),
        };
        Row {
            url: view::flight_url(&app, &opened, flight),
            called: flight.called(),
            names: whole.names(),
            about: format!(
                "{}, {}{}",
                view::when(flight),
                whole.counted(),
                waits.unwrap_or_default()
            ),
        }
    };
    let of = |state: State| all.iter().filter(move |whole| whole.flight.state == state);
    // Next is the first round in which anything is left to pour.
    let first = of(State::Planned)
        .map(|whole| (whole.flight.day, whole.flight.session))
        .min();
    let (next, later): (Vec<&Whole>, Vec<&Whole>) = of(State::Planned)
        .partition(|whole| Some((whole.flight.day, whole.flight.session)) == first);
    not_stored(page(&QueuePage {
        competition_url: around.competition_url,
        title: around.title,
        calibration: mead.map(|mead| (view::at(&app, &opened, paths::CALIBRATION), mead.mead)),
        on_tables: of(State::Poured).map(row).collect(),
        next: next.into_iter().map(row).collect(),
        later: later.into_iter().map(row).collect(),
        done: of(State::Done).count(),
        all: all.len(),
        shell: around.shell,
    }))
}
