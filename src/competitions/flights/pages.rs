//! The list of flights, and making them.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State as Shared};
use serde_json::json;
use sqlx::PgConnection;

use super::conflicts::{self, Forbidden};
use super::making::{self, Asked, Made};
use super::model::{Judge, Seat, State};
use super::view::{self, Around, Whole};
use super::{finals, paths, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::engine::contest::assign::Why;
use crate::engine::contest::rules::Rules;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units::parse_whole;
use crate::web::viewer::{Member, Viewer};

/// The most judges at a table, and the most days of one competition.
const SEATS_MOST: i32 = 6;
const DAYS_MOST: i32 = 7;

/// A flight in the list.
struct Row {
    url: String,
    called: String,
    stands: &'static str,
    counted: String,
    codes: String,
    names: String,
    /// Nobody sits there, nobody who is experienced, or somebody who must not.
    lacks: &'static str,
}

/// Flights that are tasted side by side.
struct Round {
    when: String,
    rows: Vec<Row>,
}

#[derive(Template)]
#[template(path = "competitions/flights/list.html")]
struct ListPage {
    shell: Shell,
    competition_url: String,
    title: String,
    /// While anything can be poured: the queue, and everything on paper.
    pouring: Option<(String, String)>,
    rounds: Vec<Round>,
    /// Judges with their glasses of each day.
    loads: Vec<(String, String)>,
    /// An organiser, while flights can be made.
    make: Option<Make>,
    lasts: Vec<finals::Offer>,
    form: FormState,
    once: String,
}

struct Make {
    action: String,
    again: bool,
    /// What the rules say of sizes and ceilings.
    sizes: String,
}

fn rounds(app: &App, opened: &Opened, flights: &[Whole], kept_apart: &Forbidden) -> Vec<Round> {
    let mut rounds: Vec<Round> = Vec::new();
    for whole in flights {
        let when = view::when(&whole.flight);
        if rounds.last().is_none_or(|round| round.when != when) {
            rounds.push(Round {
                when,
                rows: Vec::new(),
            });
        }
        if let Some(round) = rounds.last_mut() {
            round.rows.push(row(app, opened, whole, kept_apart));
        }
    }
    rounds
}

fn row(app: &App, opened: &Opened, whole: &Whole, kept_apart: &Forbidden) -> Row {
    let entries: Vec<_> = whole.glasses.iter().map(|one| one.entry).collect();
    let meets = |seat: &Seat| kept_apart.any(seat.judge, &entries);
    let tells = opened.has(Duty::Organiser) && !opened.is_blind();
    let codes: Vec<&str> = whole.glasses.iter().map(|one| one.code.as_str()).collect();
    Row {
        url: view::flight_url(app, opened, &whole.flight),
        called: whole.flight.called(),
        stands: view::stands(whole.flight.state),
        counted: whole.counted(),
        codes: codes.join(", "),
        names: whole.names(),
        lacks: match whole.table.as_slice() {
            [] => "Nobody sits at this table yet.",
            table if !table.iter().any(|seat| seat.experienced) => {
                "Nobody at this table is experienced."
            }
            // Said after the table was made.
            table if tells && table.iter().any(meets) => {
                "Somebody at this table must not judge one of its glasses: change the table."
            }
            _ => "",
        },
    }
}

/// How many glasses each judge is down for: "day 1: 16, day 2: 8, of at most 24 a day".
fn loads(flights: &[Whole], judges: &[Judge], rules: &Rules) -> Vec<(String, String)> {
    let days: BTreeSet<i32> = flights.iter().map(|whole| whole.flight.day).collect();
    let of = |judge: &Judge| {
        let on = |day: &i32| {
            let own = flights.iter().filter(|whole| {
                whole.flight.day == *day && whole.table.iter().any(|seat| seat.judge == judge.judge)
            });
            let glasses: usize = own.map(|whole| whole.glasses.len()).sum();
            match days.len() {
                1 => glasses.to_string(),
                _ => format!("day {day}: {glasses}"),
            }
        };
        let told: Vec<String> = days.iter().map(on).collect();
        let most = making::ceiling(judge, rules);
        let said = format!("{} of at most {most} a day", told.join(", "));
        (judge.name.clone(), said)
    };
    match flights {
        [] => Vec::new(),
        _ => judges.iter().map(of).collect(),
    }
}

/// Whether flights may be made all anew: before judging, while nothing was poured.
fn can_make(opened: &Opened, phase: Phase, flights: &[Whole]) -> bool {
    opened.has(Duty::Organiser)
        && phase == Phase::Received
        && flights
            .iter()
            .all(|whole| whole.flight.state == State::Planned)
}

async fn list_page(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    form: FormState,
) -> Result<ListPage, Error> {
    let flights = Whole::all(conn, opened.competition.id).await?;
    let kept_apart = conflicts::forbidden(conn, opened.competition.id).await?;
    let judges = store::judges(conn, opened.competition.id).await?;
    let rules = &opened.competition.rules;
    let lasts = match opened.has(Duty::Organiser) && opened.allows(Act::MakeFlights) {
        true => finals::offers(app, conn, opened).await?,
        false => Vec::new(),
    };
    let around = Around::of(app, member, opened);
    let make = can_make(opened, opened.competition.phase, &flights).then(|| Make {
        action: view::at(app, opened, paths::MAKE),
        again: !flights.is_empty(),
        sizes: format!(
            "By the rules {} to {} glasses in a flight, at most {} of them strong. {}",
            rules.flight_least,
            rules.flight_most,
            rules.flight_strong,
            view::rest_rule(rules)
        ),
    });
    Ok(ListPage {
        competition_url: around.competition_url,
        title: around.title,
        pouring: opened.allows(Act::ReadPours).then(|| {
            let queue = view::at(app, opened, paths::QUEUE);
            (queue, view::at(app, opened, paths::PAPER))
        }),
        rounds: rounds(app, opened, &flights, &kept_apart),
        loads: loads(&flights, &judges, rules),
        make,
        lasts,
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
        shell: around.shell,
    })
}

pub(super) async fn list(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser, Duty::Steward])?;
    if opened.competition.phase < Phase::Received {
        return Err(Error::not_found());
    }
    let mut form = FormState::new();
    form.set("seats", "2");
    form.set("days", "1");
    not_stored(page(
        &list_page(&app, &mut conn, (&member, &opened), form).await?,
    ))
}

/// What the form asks for; faults beside the fields.
pub(super) fn asked(typed: &mut Typed<'_>) -> Result<Option<Asked>, Error> {
    let seats = typed.read("seats", |text| parse_whole(text, 1, SEATS_MOST))?;
    let days = typed.read("days", |text| parse_whole(text, 1, DAYS_MOST))?;
    if seats.is_none() && typed.form.fault("seats").is_none() {
        typed
            .form
            .refuse("seats", "Write how many judges sit at a table.");
    }
    if days.is_none() && typed.form.fault("days").is_none() {
        typed
            .form
            .refuse("days", "Write on how many days you judge.");
    }
    let number = |of: Option<i32>| usize::try_from(of?).ok();
    let asked = number(seats)
        .zip(number(days))
        .map(|(seats, days)| Asked { seats, days });
    Ok(asked.filter(|_| typed.form.is_sound()))
}

/// Why a flight has no table, in words.
pub(super) fn says(why: Why) -> &'static str {
    match why {
        Why::TooFew => "too few judges may taste it",
        Why::NobodyExperienced => "none of those who may taste it is experienced",
        Why::Ceilings => "those who may taste it have reached their glasses of the day",
    }
}

/// What was made, in a sentence for the chain: numbers alone.
pub(super) fn told(made: &Made) -> serde_json::Value {
    let left: Vec<_> = made
        .left
        .iter()
        .map(|(number, why)| json!({ "flight": number, "why": says(*why) }))
        .collect();
    json!({ "flights": made.flights, "without a table": left })
}

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
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::MAKE).await? {
        return see_other(app.site.base(), &location);
    }
    let phase = opened.hold(&mut tx, Act::MakeFlights).await?;
    let mut typed = Typed::of(&posted);
    let Some(asked) = asked(&mut typed)? else {
        let again = list_page(&app, &mut tx, (&member, &opened), typed.form).await?;
        return form_again(&again);
    };
    let flights = Whole::all(&mut tx, opened.competition.id).await?;
    if !can_make(&opened, phase, &flights) {
        return Err(Error::conflict(
            "Judging has begun: flights are changed one by one from now on.",
        ));
    }
    let made = making::all(&mut tx, &opened.competition, asked).await?;
    let deed = Deed {
        deed: "flights_made",
        about: told(&made),
        reason: "",
    };
    deeds::write(
        &mut tx,
        opened.competition.id,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    let location = paths::FLIGHTS.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::MAKE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
