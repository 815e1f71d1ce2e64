//! Everything that is needed to finish on paper when the hall has no network, in one print: who sits where, pouring lists, a
//! sheet for every judge and glass, what tables agree on, finals to fill in, and tags for the glasses.

use askama::Template;
use axum::extract::{Path, State as Shared};

use super::model::{Kind, State};
use super::store;
use super::view::{self, Around, GlassRow, Whole};
use crate::app::App;
use crate::competitions::judging::words;
use crate::competitions::model::{Category, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::organise::bands;
use crate::competitions::phases::Act;
use crate::engine::contest::faults::Fault;
use crate::engine::contest::rules::{Rules, Section};
use crate::web::error::Error;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// Empty lines on the sheet of a final that is not made yet.
const LINES: usize = 8;

/// A flight on paper.
struct FlightPart {
    called: String,
    when: String,
    counted: String,
    names: Vec<String>,
    glasses: Vec<GlassRow>,
    /// Its table puts the glasses in order and gives no points.
    orders: bool,
    /// How many of it go on to a final; none where it decides its category alone.
    go_on: u32,
}

/// One judge's sheets of one flight.
struct SheetsPart<'a> {
    judge: String,
    flight: &'a FlightPart,
}

/// A tag on a glass.
struct Tag {
    code: String,
    of: String,
}

/// A final that nobody has made yet, to fill in.
struct Blank {
    heading: String,
    lines: std::ops::RangeInclusive<usize>,
}

#[derive(Template)]
#[template(path = "competitions/flights/paper.html")]
struct PaperPage<'a> {
    shell: Shell,
    competition_url: String,
    title: String,
    duties: Vec<(&'static str, String)>,
    rests: String,
    flights: &'a [FlightPart],
    sheets: Vec<SheetsPart<'a>>,
    sections: &'a [Section],
    most: u32,
    bands: Vec<(String, String)>,
    faults: String,
    tags: Vec<Tag>,
    blanks: Vec<Blank>,
    spread_most: u32,
}

fn part(whole: &Whole, all: &[Whole], rules: &Rules) -> FlightPart {
    let own = |other: &&Whole| {
        other.flight.kind == Kind::First && other.flight.category == whole.flight.category
    };
    FlightPart {
        called: whole.flight.called(),
        when: view::when(&whole.flight),
        counted: whole.counted(),
        names: whole.table.iter().map(|seat| seat.name.clone()).collect(),
        glasses: whole.glasses.iter().map(GlassRow::of).collect(),
        orders: whole.flight.kind != Kind::First,
        go_on: match all.iter().filter(own).count() {
            0 | 1 => 0,
            _ => rules.go_on,
        },
    }
}

/// A sheet for each judge of each flight, in the order in which they are needed.
fn sheets<'a>(flights: &'a [FlightPart]) -> Vec<SheetsPart<'a>> {
    let of = |flight: &'a FlightPart| {
        let names = flight.names.iter();
        names.map(move |judge| SheetsPart {
            judge: judge.clone(),
            flight,
        })
    };
    flights.iter().flat_map(of).collect()
}

/// One for each glass of each judge.
fn tags(flights: &[FlightPart]) -> Vec<Tag> {
    let of = |flight: &FlightPart| {
        let glasses = flight.glasses.iter().flat_map(|glass| {
            let tag = move || Tag {
                code: glass.code.clone(),
                of: format!("{}, glass {}", flight.called, glass.place),
            };
            std::iter::repeat_with(tag).take(flight.names.len().max(1))
        });
        glasses.collect::<Vec<_>>()
    };
    flights.iter().flat_map(of).collect()
}

/// Finals of categories with several flights, and the best of the show, as far as they are not made.
fn blanks(all: &[Whole], categories: &[Category]) -> Vec<Blank> {
    let count = |kind: Kind, category: &Category| {
        let own = all.iter().filter(|whole| {
            whole.flight.kind == kind && whole.flight.category == Some(category.id)
        });
        own.count()
    };
    let finals = categories
        .iter()
        .filter(|one| count(Kind::First, one) > 1 && count(Kind::Final, one) == 0)
        .map(|one| format!("The final of {}", one.name));
    let judged = categories
        .iter()
        .filter(|one| count(Kind::First, one) > 0)
        .count();
    let best = all.iter().any(|whole| whole.flight.kind == Kind::Best);
    let show = (judged > 1 && !best).then(|| "The best of the show".to_owned());
    let blank = |heading| Blank {
        heading,
        lines: 1..=LINES,
    };
    finals.chain(show).map(blank).collect()
}

pub(super) async fn show(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser, Duty::Steward])?;
    if !opened.allows(Act::PrintPaper) {
        return Err(Error::not_found());
    }
    let competition = &opened.competition;
    let all = Whole::all(&mut conn, competition.id).await?;
    let categories = crate::competitions::store::categories(&mut conn, competition.id).await?;
    let roster = store::duties(&mut conn, competition.id).await?;
    drop(conn);
    // What is done needs no paper any more.
    let flights: Vec<FlightPart> = all
        .iter()
        .filter(|whole| whole.flight.state != State::Done)
        .map(|whole| part(whole, &all, &competition.rules))
        .collect();
    let around = Around::of(&app, &member, &opened);
    let duties = Duty::ALL.map(|duty| {
        let own = roster.iter().filter(|(of, _)| *of == duty);
        let names: Vec<&str> = own.map(|(_, name)| name.as_str()).collect();
        (duty.word(), names.join(", "))
    });
    let rules = &competition.rules;
    let faults: Vec<&str> = Fault::ALL
        .iter()
        .map(|fault| words::fault(*fault).0)
        .collect();
    not_stored(page(&PaperPage {
        competition_url: around.competition_url,
        title: around.title,
        duties: duties
            .into_iter()
            .filter(|(_, names)| !names.is_empty())
            .collect(),
        rests: view::rest_rule(rules),
        sheets: sheets(&flights),
        sections: &rules.sections,
        most: rules.most(),
        bands: bands(rules),
        faults: faults.join(", "),
        tags: tags(&flights),
        blanks: blanks(&all, &categories),
        spread_most: rules.spread_most,
        flights: &flights,
        shell: around.shell,
    }))
}
