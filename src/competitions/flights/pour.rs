//! One flight as whoever pours reads it, and that it is poured.

use askama::Template;
use axum::extract::{Path, State as Shared};
use chrono::{DateTime, Duration, Utc};
use serde_json::json;
use sqlx::PgConnection;

use super::conflicts;
use super::model::State;
use super::view::{self, Around, GlassRow, Whole};
use super::{paths, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::engine::contest::rules::Rules;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// What whoever has an entry in a category is told of its flights.
pub(super) const WALLED_OFF: &str =
    "You have an entry in this category: somebody else pours and changes its flights.";

/// What whoever judges or pours is told in place of changing a table: a refused seat would tell them whose a glass is.
pub(super) const BLIND: &str =
    "You judge or pour at this competition, so another organiser changes its tables and glasses.";

/// A flight of the competition with everything that belongs to it; what is not there is not found.
pub(super) async fn found(
    conn: &mut PgConnection,
    opened: &Opened,
    flight: &str,
) -> Result<(Whole, Vec<Whole>), Error> {
    let all = Whole::all(conn, opened.competition.id).await?;
    let found = all
        .iter()
        .find(|whole| whole.flight.public_id.as_str() == flight);
    let found = found.cloned().ok_or_else(Error::not_found)?;
    Ok((found, all))
}

/// Whether the viewer has an entry in a category that is poured here.
pub(super) async fn is_walled_off(
    conn: &mut PgConnection,
    opened: &Opened,
    whole: &Whole,
) -> Result<bool, sqlx::Error> {
    if opened.competition.rehearsal {
        return Ok(false);
    }
    let own = conflicts::store::walled_off(conn, opened.competition.id, opened.viewer).await?;
    let poured = whole.glasses.iter().map(|glass| glass.category);
    Ok(poured
        .chain(whole.flight.category)
        .any(|category| own.contains(&category)))
}

/// Until when somebody at the table rests from another flight, and who still tastes one; nothing where the table is free.
pub(super) fn rests(
    whole: &Whole,
    all: &[Whole],
    rules: &Rules,
    now: DateTime<Utc>,
) -> (Option<DateTime<Utc>>, Vec<String>) {
    let (mut until, mut tasting) = (None, Vec::new());
    let rest = Duration::minutes(i64::from(rules.rest_minutes));
    for other in all
        .iter()
        .filter(|other| other.flight.id != whole.flight.id)
    {
        let shared: Vec<&str> = whole
            .table
            .iter()
            .filter(|seat| other.table.iter().any(|one| one.judge == seat.judge))
            .map(|seat| seat.name.as_str())
            .collect();
        if shared.is_empty() {
            continue;
        }
        match other.flight.state {
            State::Poured => tasting.extend(shared.iter().map(|name| (*name).to_owned())),
            State::Done => {
                let free = other.flight.done_at.map(|done| done + rest);
                until = until.max(free.filter(|free| *free > now));
            }
            State::Planned => {}
        }
    }
    tasting.sort();
    tasting.dedup();
    (until, tasting)
}

#[derive(Template)]
#[template(path = "competitions/flights/flight.html")]
struct FlightPage {
    shell: Shell,
    competition_url: String,
    title: String,
    flights_url: String,
    called: String,
    when: String,
    stands: &'static str,
    counted: String,
    names: String,
    glasses: Vec<GlassRow>,
    walled_off: bool,
    /// A steward, while it can be poured: the button, and whether it was poured already.
    pour_at: Option<String>,
    is_planned: bool,
    waits: String,
    change_url: Option<String>,
    /// What is poured next, while something is.
    queue_url: Option<String>,
    bottles: String,
    form: FormState,
    once: String,
}

/// Why it is too early to pour; empty where it is not.
fn waits(
    whole: &Whole,
    all: &[Whole],
    rules: &Rules,
    member: &Member,
    now: DateTime<Utc>,
) -> String {
    let (until, tasting) = rests(whole, all, rules, now);
    match (tasting.as_slice(), until) {
        ([], None) => String::new(),
        ([], Some(until)) => format!(
            "The table rests until {}.",
            moment(until, member.settings.zone)
        ),
        (names, _) => format!("Still at another flight: {}.", names.join(", ")),
    }
}

/// What there is to pour from: "330 mL a bottle, 1 of 3 kept for the final."
fn bottles(rules: &Rules) -> String {
    let size = format!("{} mL a bottle", rules.bottle_ml);
    match rules.held_back {
        0 => format!("{size}."),
        kept => format!("{size}, {kept} of {} kept for the final.", rules.bottles),
    }
}

async fn flight_page(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    (whole, all): (&Whole, &[Whole]),
    form: FormState,
) -> Result<FlightPage, Error> {
    let walled_off = is_walled_off(conn, opened, whole).await?;
    let around = Around::of(app, member, opened);
    let rules = &opened.competition.rules;
    let pours = opened.has(Duty::Steward) && opened.allows(Act::Pour) && !walled_off;
    let changes = opened.has(Duty::Organiser) && opened.allows(Act::SeatJudges);
    let changes = changes && !walled_off && !opened.is_blind();
    let flight = &whole.flight;
    Ok(FlightPage {
        competition_url: around.competition_url,
        title: around.title,
        flights_url: view::at(app, opened, paths::FLIGHTS),
        called: flight.called(),
        when: view::when(flight),
        stands: view::stands(flight.state),
        counted: whole.counted(),
        names: whole.names(),
        glasses: whole.glasses.iter().map(GlassRow::of).collect(),
        walled_off,
        pour_at: (pours && flight.state != State::Done)
            .then(|| view::at_flight(app, opened, paths::POURED, flight)),
        is_planned: flight.state == State::Planned,
        waits: match flight.state {
            State::Planned => waits(whole, all, rules, member, app.clock.now()),
            _ => String::new(),
        },
        change_url: changes.then(|| view::at_flight(app, opened, paths::CHANGE, flight)),
        queue_url: opened
            .allows(Act::ReadPours)
            .then(|| view::at(app, opened, paths::QUEUE)),
        bottles: bottles(rules),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
        shell: around.shell,
    })
}

pub(super) async fn show(
    Shared(app): Shared<App>,
    member: Member,
    Path((id, flight)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser, Duty::Steward])?;
    let (whole, all) = found(&mut conn, &opened, &flight).await?;
    let who = (&member, &opened);
    let shown = flight_page(&app, &mut conn, who, (&whole, &all), FormState::new()).await?;
    not_stored(page(&shown))
}

/// From what it is to what it becomes, and the word of the deed.
fn turned(state: State, back: bool) -> Result<(State, &'static str), Error> {
    match (state, back) {
        (State::Planned, false) => Ok((State::Poured, "poured")),
        (State::Poured, true) => Ok((State::Planned, "not_poured")),
        (State::Done, _) => Err(Error::conflict("Its table has agreed already.")),
        _ => Err(Error::conflict(
            "Somebody else was faster: see what stands there now.",
        )),
    }
}

pub(super) async fn poured(
    Shared(app): Shared<App>,
    member: Member,
    Path((id, flight)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Steward])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::POURED).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::Pour).await?;
    let (whole, all) = found(&mut tx, &opened, &flight).await?;
    if is_walled_off(&mut tx, &opened, &whole).await? {
        return Err(Error::conflict(WALLED_OFF));
    }
    let (state, deed) = turned(whole.flight.state, posted.has("back"))?;
    let now = app.clock.now();
    let early = match state {
        State::Poured => waits(&whole, &all, &opened.competition.rules, &member, now),
        _ => String::new(),
    };
    if !early.is_empty() && posted.one("agreed")? != "yes" {
        let mut form = FormState::of(&posted);
        form.refuse(
            "agreed",
            format!("{early} Tick this if they agreed to begin."),
        );
        let who = (&member, &opened);
        return form_again(&flight_page(&app, &mut tx, who, (&whole, &all), form).await?);
    }
    store::set_state(&mut tx, whole.flight.id, state, now).await?;
    let deed = Deed {
        deed,
        about: json!({ "flight": whole.flight.number, "before its time": !early.is_empty() }),
        reason: "",
    };
    let competition = opened.competition.id;
    deeds::write(&mut tx, competition, Some(member.id), &deed, now).await?;
    let location = view::path_of(&opened, paths::FLIGHT, &whole.flight);
    once::settle(&mut tx, &once, &member, paths::POURED, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
