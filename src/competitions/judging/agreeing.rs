//! What a table agrees on, and each judge's order in a final: read, checked, written down.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde_json::json;
use sqlx::PgConnection;

use super::model::{self, Order};
use super::seated::AtTable;
use super::table::{Read, field, filled, table_page};
use super::{paths, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::flights::model::State as Progress;
use crate::competitions::flights::{conflicts, store as flights};
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::phases::{self, Act};
use crate::competitions::store as competitions;
use crate::engine::contest::agree::{self, Refusal, Settled};
use crate::engine::contest::rules::Rules;
use crate::engine::contest::sheet::Agreed;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::Once;
use crate::web::pages::{Answer, form_again, not_stored, page_with, see_other};
use crate::web::typed::{Difference, Typed};
use crate::web::units::parse_whole;
use crate::web::viewer::Member;

/// Competition and flight of an address.
type At = (String, String);

/// Holds the competition and reads the table as it then stands.
async fn hold(
    conn: &mut PgConnection,
    member: &Member,
    (at, act): (&At, Act),
) -> Result<Read, Error> {
    let opened = Opened::read(conn, member, &at.0).await?;
    opened.demand(&[Duty::Judge])?;
    let phase = competitions::hold(conn, opened.competition.id).await?;
    let table = AtTable::read(conn, member, (&at.0, &at.1)).await?;
    phases::demand(phase, act)?;
    Read::of(conn, table).await
}

fn done(app: &App, at: &At, done: &str) -> Answer {
    let path = paths::TABLE.with(&[&at.0, &at.1]);
    see_other(app.site.base(), &format!("{path}?done={done}"))
}

fn why(refusal: Refusal, rules: &Rules) -> String {
    match refusal {
        Refusal::NoPoints | Refusal::TooMany => format!(
            "Write the points that you agree on, a whole number from 0 to {}.",
            rules.most()
        ),
        Refusal::FarApart => format!(
            "You lie more than {} points apart. Taste it again together, tick that you did, then agree.",
            rules.spread_most
        ),
        Refusal::OutsideAll => {
            "That is outside what any of you gave. Taste it again together and tick that you did, or agree between your own points."
                .to_owned()
        }
    }
}

/// Reads what the table settles on; faults stand beside their fields.
fn settled(read: &Read, posted: &Posted) -> Result<Result<Agreed, FormState>, Error> {
    let rules = &read.table.opened.competition.rules;
    let mut typed = Typed::of(posted);
    let mut all = Vec::new();
    for glass in &read.table.glasses {
        let code = &glass.code;
        let (points, among) = (field("points", code), field("among", code));
        let whole = |text: &str, most: u32| {
            let found = parse_whole(text, 0, i32::try_from(most).unwrap_or(i32::MAX));
            found.ok().and_then(|found| u32::try_from(found).ok())
        };
        let entry = Settled {
            code: code.clone(),
            totals: read.totals(glass),
            points: whole(typed.text(&points)?, rules.most()),
            among_equals: whole(typed.text(&among)?, 40),
            tasted_again: typed.text(&field("again", code))? == "yes",
        };
        if !typed.text(&among)?.is_empty() && entry.among_equals.is_none() {
            let told = "Write 1 for the better one, 2 for the next; or nothing.";
            typed.form.refuse(&among, told);
        }
        if let Some(refusal) = agree::refused(rules, &entry) {
            typed.form.refuse(&points, why(refusal, rules));
        }
        all.push(entry);
    }
    Ok(match typed.form.is_sound() {
        true => Ok(agree::agreed(rules, &all)),
        false => Err(typed.form),
    })
}

/// What comes of the judges' orders, and of tasting again what they leave level; faults stand beside their fields.
fn by_orders(read: &Read, posted: &Posted) -> Result<Result<Agreed, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let mut again = BTreeMap::new();
    for group in read.level() {
        let most = i32::try_from(group.len()).unwrap_or(i32::MAX);
        let among = |code: &String| field("among", code);
        let mut given = Vec::new();
        for code in &group {
            given.push(typed.text(&among(code))?.to_owned());
        }
        if given.iter().all(String::is_empty) {
            continue;
        }
        for (code, text) in group.iter().zip(given) {
            let place = parse_whole(&text, 1, most).ok();
            match place.and_then(|place| u32::try_from(place).ok()) {
                Some(place) => {
                    again.insert(code.clone(), place);
                }
                None => {
                    let told =
                        format!("Write a place from 1 to {most} for each of them, or for none.");
                    typed.form.refuse(&among(code), told);
                }
            }
        }
    }
    let (codes, orders) = read.ordered();
    Ok(match typed.form.is_sound() {
        true => Ok(agree::agreed_by_orders(&codes, &orders, &again)),
        false => Err(typed.form),
    })
}

pub(super) async fn agree(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let read = hold(&mut tx, &member, (&at, Act::AgreeAgain)).await?;
    Once::read(&posted, &member)?;
    if !read.table.leads {
        return Err(Error::not_found());
    }
    if let Some(first) = read.waits_for().into_iter().next() {
        return Err(Error::conflict(format!(
            "The table cannot agree yet: {first}."
        )));
    }
    let agreed = match read.table.is_ordered() {
        true => by_orders(&read, &posted)?,
        false => settled(&read, &posted)?,
    };
    let (number, before) = read.agreed.clone().unwrap_or_default();
    // Where a sheet was given back the same points are agreed on once more.
    let stands = number > 0 && read.table.flight.state == Progress::Done;
    if stands && agreed.as_ref().is_ok_and(|agreed| *agreed == before) {
        return done(&app, &at, "agreed");
    }
    if !read.may_agree() {
        phases::demand(read.table.opened.competition.phase, Act::Agree)?;
        return Err(Error::not_found());
    }
    let agreed = match agreed {
        Ok(agreed) => agreed,
        Err(form) => {
            return not_stored(form_again(&table_page(&app, &member, &read, Some(form))?));
        }
    };
    let seen: i32 = posted.one("version")?.parse().unwrap_or(0);
    if seen != number {
        let mut shown = table_page(&app, &member, &read, Some(FormState::of(&posted)))?;
        shown.meanwhile = differences(&read, &posted);
        return not_stored(page_with(StatusCode::CONFLICT, &shown));
    }
    write(&app, &mut tx, &read, (number, &agreed)).await?;
    tx.commit().await?;
    done(&app, &at, "agreed")
}

/// Writes down what was agreed; the flight is done.
async fn write(
    app: &App,
    conn: &mut PgConnection,
    read: &Read,
    (after, agreed): (i32, &Agreed),
) -> Result<(), Error> {
    let (flight, now) = (&read.table.flight, app.clock.now());
    let by = read.table.opened.viewer;
    store::agree(conn, flight.id, (after, agreed), (by, now)).await?;
    flights::set_state(conn, flight.id, Progress::Done, now).await?;
    let deed = Deed {
        deed: "agreed",
        about: json!({
            "flight": flight.public_id.as_str(),
            "row": after + 1,
            "agreed": model::digest(agreed),
        }),
        reason: "",
    };
    let competition = read.table.opened.competition.id;
    deeds::write(conn, competition, Some(by), &deed, now).await?;
    Ok(())
}

fn differences(read: &Read, posted: &Posted) -> Vec<Difference> {
    let (now, yours) = (filled(read), FormState::of(posted));
    let told = |form: &FormState| {
        let of = read.table.glasses.iter().map(|glass| {
            let text = form.typed(&field("points", &glass.code)).trim().to_owned();
            format!("{} {text}", glass.code)
        });
        of.collect::<Vec<_>>().join(", ")
    };
    vec![Difference {
        label: "Points",
        theirs: told(&now),
        yours: told(&yours),
    }]
}

/// Reads a judge's order: each glass a place of its own.
fn ordered(read: &Read, posted: &Posted) -> Result<Result<Vec<String>, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let glasses = &read.table.glasses;
    let mut placed: Vec<Option<String>> = vec![None; glasses.len()];
    for glass in glasses {
        let name = field("place", &glass.code);
        let place = typed.text(&name)?.parse::<usize>().ok();
        let slot = place.and_then(|place| placed.get_mut(place.wrapping_sub(1)));
        match slot {
            Some(slot) if slot.is_none() => *slot = Some(glass.code.clone()),
            Some(slot) => {
                let other = slot.as_deref().unwrap_or_default();
                let told = format!("{other} has this place already. Each glass gets its own.");
                typed.form.refuse(&name, told);
            }
            None => {
                let told = format!("Choose a place from 1 to {}.", glasses.len());
                typed.form.refuse(&name, told);
            }
        }
    }
    Ok(match typed.form.is_sound() {
        true => Ok(placed.into_iter().flatten().collect()),
        false => Err(typed.form),
    })
}

pub(super) async fn order(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let read = hold(&mut tx, &member, (&at, Act::WriteSheet)).await?;
    Once::read(&posted, &member)?;
    if !read.table.is_ordered() || read.agreed.is_some() {
        return Err(Error::conflict(
            "The table has settled this flight already, or it has no order to give.",
        ));
    }
    let competition = read.table.opened.competition.id;
    let entries: Vec<_> = read.table.glasses.iter().map(|glass| glass.entry).collect();
    let forbidden = conflicts::forbidden(&mut tx, competition).await?;
    if forbidden.any(member.id, &entries) {
        return Err(Error::conflict(
            "You and one of these entries are kept apart, so nothing was written. Tell a steward; nobody is told why.",
        ));
    }
    let codes = match ordered(&read, &posted)? {
        Ok(codes) => codes,
        Err(form) => {
            return not_stored(form_again(&table_page(&app, &member, &read, Some(form))?));
        }
    };
    let own = read.orders.iter().find(|order| order.judge == member.id);
    let number = own.map_or(0, |order| order.number);
    if own.is_some_and(|own| own.codes == codes) {
        return done(&app, &at, "ordered");
    }
    let seen: i32 = posted.one("order_version")?.parse().unwrap_or(0);
    if seen != number {
        let mut shown = table_page(&app, &member, &read, Some(FormState::of(&posted)))?;
        shown.meanwhile = vec![Difference {
            label: "Your order, the best first",
            theirs: own.map_or(String::new(), |own| own.codes.join(", ")),
            yours: codes.join(", "),
        }];
        return not_stored(page_with(StatusCode::CONFLICT, &shown));
    }
    let order = Order {
        judge: member.id,
        number: number + 1,
        codes,
    };
    let (flight, now) = (&read.table.flight, app.clock.now());
    store::order(&mut tx, flight.id, &order, now).await?;
    let deed = Deed {
        deed: "ordered",
        about: json!({
            "flight": flight.public_id.as_str(),
            "row": order.number,
            "order": model::digest(&order.codes),
        }),
        reason: "",
    };
    deeds::write(&mut tx, competition, Some(member.id), &deed, now).await?;
    tx.commit().await?;
    done(&app, &at, "ordered")
}
