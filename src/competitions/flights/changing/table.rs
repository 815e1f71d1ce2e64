//! Who sits at a flight, and when.

use std::collections::BTreeSet;

use axum::extract::{Path, State as Shared};
use axum::http::StatusCode;
use serde_json::json;
use sqlx::PgConnection;

use super::{Changing, SEATS, change_page, fill_glasses, meanwhile, seat_field};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::flights::model::Judge;
use crate::competitions::flights::view;
use crate::competitions::flights::{conflicts, paths, store};
use crate::competitions::phases::Act;
use crate::engine::contest::seating::{Refusal, Sitting, may_sit};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page_with, see_other};
use crate::web::typed::Typed;
use crate::web::units::parse_whole;
use crate::web::viewer::{Member, MemberId};

/// A table as it was chosen.
struct Chosen {
    day: i32,
    round: i32,
    /// Whoever leads first.
    judges: Vec<MemberId>,
}

/// A whole number that must be there.
fn number(typed: &mut Typed<'_>, name: &str, why: &str) -> Result<i32, Error> {
    let found = typed.read(name, |text| parse_whole(text, 1, 30))?;
    if found.is_none() && typed.form.fault(name).is_none() {
        typed.form.refuse(name, why);
    }
    Ok(found.unwrap_or(1))
}

/// Why a judge cannot sit there; what lies behind it is not told.
fn says(judge: &Judge, refusal: Refusal) -> String {
    let name = &judge.name;
    match refusal {
        Refusal::Forbidden => format!("{name} cannot sit at this table."),
        Refusal::Busy => format!("{name} sits at another table in that round."),
        Refusal::Ceiling { glasses, ceiling } => format!(
            "{name} would taste {glasses} glasses on that day, and tastes at most {ceiling}."
        ),
        Refusal::NobodyExperienced => "Somebody experienced must sit at the table.".to_owned(),
    }
}

async fn read(
    conn: &mut PgConnection,
    changing: &Changing,
    posted: &Posted,
) -> Result<Result<Chosen, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let day = number(&mut typed, "day", "Write the day, 1 for the first.")?;
    let round = number(
        &mut typed,
        "round",
        "Write the round of the day, 1 for the first.",
    )?;
    let forbidden = conflicts::forbidden(conn, changing.opened.competition.id).await?;
    let entries: Vec<_> = changing.whole.glasses.iter().map(|one| one.entry).collect();
    let ceilings = changing.ceilings();
    let own = [changing.whole.flight.number];
    let mut chosen: Vec<&Judge> = Vec::new();
    for at in 1..=SEATS.max(changing.whole.table.len() + 1) {
        let field = seat_field(at);
        let wanted = typed.text(&field)?;
        let Some(judge) = changing.judges.iter().find(|one| one.public_id == wanted) else {
            if !wanted.is_empty() {
                typed.form.refuse(&field, "Choose a judge of the list.");
            }
            continue;
        };
        let busy = changing.all.iter().any(|other| {
            other.flight.id != changing.whole.flight.id
                && (other.flight.day, other.flight.session) == (day, round)
                && other.table.iter().any(|seat| seat.judge == judge.judge)
        });
        let sitting = Sitting {
            forbidden: forbidden.any(judge.judge, &entries),
            busy,
            tasted: changing.down_for(judge.judge, day, &own),
            glasses: entries.len(),
            ceiling: ceilings.get(&judge.judge).copied().unwrap_or(0),
        };
        if let Err(refusal) = may_sit(&sitting) {
            typed.form.refuse(&field, says(judge, refusal));
        } else if chosen.iter().any(|one| one.judge == judge.judge) {
            typed
                .form
                .refuse(&field, format!("{} sits there already.", judge.name));
        } else {
            chosen.push(judge);
        }
    }
    let written = store::written(conn, changing.whole.flight.id).await?;
    held_against(
        changing,
        &chosen,
        &written.iter().map(|(judge, _)| *judge).collect(),
        &mut typed.form,
    );
    Ok(match typed.form.is_sound() {
        true => Ok(Chosen {
            day,
            round,
            judges: chosen.iter().map(|one| one.judge).collect(),
        }),
        false => Err(typed.form),
    })
}

/// Faults of the table as a whole, beside its first seat.
fn held_against(
    changing: &Changing,
    chosen: &[&Judge],
    written: &BTreeSet<MemberId>,
    form: &mut FormState,
) {
    if !form.is_sound() {
        return;
    }
    let first = seat_field(1);
    let leaving = changing.whole.table.iter().find(|seat| {
        written.contains(&seat.judge) && !chosen.iter().any(|one| one.judge == seat.judge)
    });
    match chosen.first() {
        None => form.refuse(&first, "Choose at least one judge."),
        Some(leads) if !chosen.iter().any(|one| one.experienced) => {
            form.refuse(&first, says(leads, Refusal::NobodyExperienced));
        }
        Some(_) => {}
    }
    if let Some(seat) = leaving {
        form.refuse(
            &first,
            format!("{} has written sheets at this table and stays.", seat.name),
        );
    }
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
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::SEAT).await? {
        return see_other(app.site.base(), &location);
    }
    changing.opened.hold(&mut tx, Act::SeatJudges).await?;
    // Read again now that nobody else can write.
    let changing = Changing::read(&mut tx, &member, &at).await?;
    let chosen = match read(&mut tx, &changing, &posted).await? {
        Ok(chosen) => chosen,
        Err(mut form) => {
            fill_glasses(&changing, &mut form);
            return form_again(&change_page(&app, &member, &changing, form)?);
        }
    };
    let flight = &changing.whole.flight;
    let seen = posted.one("version")?.parse().unwrap_or(0);
    let when = (chosen.day, chosen.round);
    if !store::change(&mut tx, flight.id, when, seen).await? {
        let mut form = FormState::of(&posted);
        meanwhile(&changing, &mut form);
        fill_glasses(&changing, &mut form);
        let again = change_page(&app, &member, &changing, form)?;
        return page_with(StatusCode::CONFLICT, &again);
    }
    store::seat(&mut tx, flight.id, &chosen.judges).await?;
    let before: Vec<i64> = changing
        .whole
        .table
        .iter()
        .map(|seat| seat.judge.0)
        .collect();
    let after: Vec<i64> = chosen.judges.iter().map(|judge| judge.0).collect();
    let deed = Deed {
        deed: "table_changed",
        about: json!({
            "flight": flight.number, "before": before, "after": after,
            "day": chosen.day, "round": chosen.round,
        }),
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
    once::settle(&mut tx, &once, &member, paths::SEAT, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
