//! Which glasses a flight has, in which order: moved, taken out, added.

use axum::extract::{Path, State as Shared};
use axum::http::StatusCode;
use serde_json::json;
use sqlx::PgConnection;

use super::{Changing, change_page, fill_table, meanwhile, place_field, to_field};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entries::Entry;
use crate::competitions::flights::conflicts::{self, Forbidden};
use crate::competitions::flights::model::{Glass, State};
use crate::competitions::flights::view::{self, Whole};
use crate::competitions::flights::{paths, store};
use crate::competitions::model::EntryId;
use crate::competitions::phases::Act;
use crate::engine::contest::declared::Declared;
use crate::engine::contest::flights::{Fault, Sizes, fault};
use crate::engine::contest::order::{Poured, compare};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page_with, see_other};
use crate::web::typed::Typed;
use crate::web::units::parse_whole;
use crate::web::viewer::Member;

/// The field in which an entry is added.
const ADDED: &str = "added";

/// The glasses of flights as they were chosen, by the number of the flight; the changed one first.
struct Chosen {
    flights: Vec<(i32, Vec<EntryId>)>,
    /// What went where, in codes and numbers of flights.
    moves: Vec<(String, String)>,
}

/// A glass on its way into a flight.
struct Coming<'a> {
    entry: EntryId,
    code: &'a str,
    declared: &'a Declared,
}

impl<'a> Coming<'a> {
    fn glass(glass: &'a Glass) -> Coming<'a> {
        Coming {
            entry: glass.entry,
            code: &glass.code,
            declared: &glass.declared,
        }
    }

    fn entry(entry: &'a Entry) -> Coming<'a> {
        Coming {
            entry: entry.id,
            code: &entry.code,
            declared: &entry.declared,
        }
    }
}

/// Puts a glass before the first that is poured after it.
fn put_in<'a>(glasses: &mut Vec<Coming<'a>>, coming: Coming<'a>) {
    let after = |one: &Coming<'_>| {
        compare(&Poured::from(coming.declared), &Poured::from(one.declared)).is_lt()
    };
    let at = glasses.iter().position(after).unwrap_or(glasses.len());
    glasses.insert(at, coming);
}

/// Why a flight cannot hold these glasses.
fn speaks_against(
    changing: &Changing,
    (whole, glasses): (&Whole, &[Coming<'_>]),
    forbidden: &Forbidden,
) -> Option<String> {
    let sizes = Sizes::from(&changing.opened.competition.rules);
    let called = whole.flight.called();
    if whole.flight.kind == super::Kind::First {
        match fault(glasses.iter().map(|one| one.declared), &sizes) {
            Some(Fault::TooMany { glasses, most }) => {
                return Some(format!(
                    "{called} would have {glasses} glasses: {most} are the most."
                ));
            }
            Some(Fault::TooManyStrong { strong, most }) => {
                return Some(format!(
                    "{called} would have {strong} strong glasses: {most} are the most."
                ));
            }
            None => {}
        }
    }
    let ceilings = changing.ceilings();
    let own = [whole.flight.number];
    whole.table.iter().find_map(|seat| {
        let new = glasses
            .iter()
            .find(|one| forbidden.has(seat.judge, one.entry));
        let tasted = changing.down_for(seat.judge, whole.flight.day, &own) + glasses.len();
        let ceiling = ceilings.get(&seat.judge).copied().unwrap_or(0);
        match new {
            Some(one) => Some(format!(
                "{} cannot be poured at {called}: {} cannot sit there then.",
                one.code, seat.name
            )),
            None if tasted > ceiling && glasses.len() > whole.glasses.len() => Some(format!(
                "{} would taste {tasted} glasses on that day, and tastes at most {ceiling}.",
                seat.name
            )),
            None => None,
        }
    })
}

async fn read(
    conn: &mut PgConnection,
    changing: &Changing,
    posted: &Posted,
) -> Result<Result<Chosen, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let written = store::written(conn, changing.whole.flight.id).await?;
    let forbidden = conflicts::forbidden(conn, changing.opened.competition.id).await?;
    let mut own: Vec<(i32, Coming<'_>)> = Vec::new();
    let mut going: Vec<(&Whole, Coming<'_>)> = Vec::new();
    let mut moves = Vec::new();
    for glass in &changing.whole.glasses {
        let (place, to) = (place_field(glass), to_field(glass));
        let wanted = typed.text(&to)?;
        let stays = wanted.is_empty();
        if !stays && written.iter().any(|(_, entry)| *entry == glass.entry) {
            let why = format!("Sheets of {} are written here: it stays.", glass.code);
            typed.form.refuse(&to, why);
        }
        if !stays {
            moves.push((glass.code.clone(), wanted.to_owned()));
        }
        let target = changing
            .others()
            .find(|other| other.flight.number.to_string() == wanted);
        match (wanted, target) {
            ("", _) => {
                let at = typed.read(&place, |text| parse_whole(text, 1, 40))?;
                own.push((at.unwrap_or(glass.place), Coming::glass(glass)));
            }
            ("out", _) => {}
            (_, Some(other)) => going.push((other, Coming::glass(glass))),
            (_, None) => typed.form.refuse(&to, "Choose a flight of the list."),
        }
    }
    // Of two at one place the one that stood first stays first.
    own.sort_by_key(|(place, _)| *place);
    let mut own: Vec<Coming<'_>> = own.into_iter().map(|(_, coming)| coming).collect();
    let added = typed.text(ADDED)?;
    match changing.left.iter().find(|entry| entry.code == added) {
        Some(entry) => {
            moves.push((entry.code.clone(), changing.whole.flight.number.to_string()));
            put_in(&mut own, Coming::entry(entry));
        }
        None if added.is_empty() => {}
        None => typed.form.refuse(ADDED, "Choose an entry of the list."),
    }
    if own.is_empty() {
        typed
            .form
            .refuse_whole("One glass at least stays in a flight.");
    }
    let mut flights = vec![(&changing.whole, own)];
    for (other, coming) in going {
        let known = flights
            .iter()
            .position(|(whole, _)| whole.flight.id == other.flight.id);
        let at = known.unwrap_or_else(|| {
            flights.push((other, other.glasses.iter().map(Coming::glass).collect()));
            flights.len() - 1
        });
        if let Some((_, glasses)) = flights.get_mut(at) {
            put_in(glasses, coming);
        }
    }
    for (whole, glasses) in &flights {
        if let Some(why) = speaks_against(changing, (whole, glasses), &forbidden) {
            typed.form.refuse_whole(why);
        }
    }
    Ok(match typed.form.is_sound() {
        true => Ok(Chosen {
            flights: flights
                .iter()
                .map(|(whole, glasses)| {
                    let entries = glasses.iter().map(|one| one.entry).collect();
                    (whole.flight.number, entries)
                })
                .collect(),
            moves,
        }),
        false => Err(typed.form),
    })
}

pub(in crate::competitions::flights) async fn put(
    Shared(app): Shared<App>,
    member: Member,
    Path(at): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let changing = Changing::read(&mut tx, &member, &at).await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::GLASSES).await? {
        return see_other(app.site.base(), &location);
    }
    changing.opened.hold(&mut tx, Act::MakeFlights).await?;
    // Read again now that nobody else can write.
    let changing = Changing::read(&mut tx, &member, &at).await?;
    if changing.whole.flight.state != State::Planned {
        return Err(Error::conflict(
            "It is poured already: its glasses stay as they stand.",
        ));
    }
    let chosen = match read(&mut tx, &changing, &posted).await? {
        Ok(chosen) => chosen,
        Err(mut form) => {
            fill_table(&changing, &mut form);
            return form_again(&change_page(&app, &member, &changing, form)?);
        }
    };
    let flight = &changing.whole.flight;
    let seen = posted.one("version")?.parse().unwrap_or(0);
    if !store::change(&mut tx, flight.id, (flight.day, flight.session), seen).await? {
        let mut form = FormState::of(&posted);
        meanwhile(&changing, &mut form);
        fill_table(&changing, &mut form);
        let again = change_page(&app, &member, &changing, form)?;
        return page_with(StatusCode::CONFLICT, &again);
    }
    // What leaves goes before it comes elsewhere.
    for (number, entries) in &chosen.flights {
        if let Some(whole) = changing.all.iter().find(|one| one.flight.number == *number) {
            store::pour(&mut tx, whole.flight.id, entries).await?;
        }
    }
    let moves: Vec<_> = chosen
        .moves
        .iter()
        .map(|(code, to)| json!({ "code": code, "to": to }))
        .collect();
    let deed = Deed {
        deed: "glasses_changed",
        about: json!({ "flight": flight.number, "moves": moves }),
        reason: "",
    };
    let competition = changing.opened.competition.id;
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    let location = view::path_of(&changing.opened, paths::FLIGHT, flight);
    once::settle(&mut tx, &once, &member, paths::GLASSES, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
