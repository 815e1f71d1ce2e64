//! What is done at the desk: noted how bottles came, looked at, paid, taken out.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use sqlx::PgConnection;

use super::bottle::{BottlePage, Found, Typed, came};
use super::deeds::{self, At, Written};
use super::{forms, paths};
use crate::app::App;
use crate::competitions::model::Duty;
use crate::competitions::phases::{Act, demand};
use crate::competitions::store::hold;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, page_with, see_other};
use crate::web::typed::differences;
use crate::web::viewer::Member;

/// The place of an entry in addresses.
type Where = (String, String);

/// Finds an entry about which the viewer does something, and holds the competition in which that is possible.
async fn about(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    (id, code): &Where,
    act: Act,
) -> Result<(Found, At), Error> {
    let opened = crate::competitions::opened::Opened::read(conn, member, id).await?;
    opened.demand(&[Duty::Steward, Duty::Organiser])?;
    demand(hold(conn, opened.competition.id).await?, act)?;
    // Read once nothing can change it any more.
    let found = Found::read(conn, member, (id, code)).await?;
    found.demand_no_wall()?;
    if found.entry.withdrawn_at.is_some() {
        return Err(Error::conflict(
            "This entry was withdrawn. Put its bottles aside.",
        ));
    }
    let at = At {
        competition: found.opened.competition.id,
        by: member.id,
        now: app.clock.now(),
    };
    Ok((found, at))
}

fn told(app: &App, (id, code): &Where, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::BOTTLE.with(&[id, code]));
    see_other(app.site.base(), &path)
}

/// The version of the entry that a form was made for.
fn version(posted: &Posted) -> Result<i32, Error> {
    Ok(posted.one("version")?.parse().unwrap_or(0))
}

pub(super) async fn receive(
    State(app): State<App>,
    member: Member,
    Path(place): Path<Where>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let (found, at) = about(&app, &mut tx, &member, &place, Act::Receive).await?;
    let version = version(&posted)?;
    let said = match forms::came(&posted, &found.entry, found.organises())? {
        Ok(said) => said,
        Err(form) => {
            let typed = Typed {
                came: Some(form),
                version: Some(version),
                ..Typed::default()
            };
            return form_again(&BottlePage::of(&app, &member, &found, typed));
        }
    };
    match deeds::receive(&mut tx, at, (&found.entry, version), &said).await? {
        Written::Done => {
            tx.commit().await?;
            told(&app, &place, "received")
        }
        Written::Meanwhile => {
            let yours = FormState::of(&posted);
            let typed = Typed {
                meanwhile: differences(forms::FIELDS, &came(&found, false), &yours),
                came: Some(yours),
                ..Typed::default()
            };
            let again = BottlePage::of(&app, &member, &found, typed);
            page_with(StatusCode::CONFLICT, &again)
        }
    }
}

pub(super) async fn check(
    State(app): State<App>,
    member: Member,
    Path(place): Path<Where>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let (found, at) = about(&app, &mut tx, &member, &place, Act::CheckEntry).await?;
    let version = version(&posted)?;
    let words = match forms::looked(&posted)? {
        Ok(words) => words,
        Err(form) => {
            let typed = Typed {
                looked: Some(form),
                version: Some(version),
                ..Typed::default()
            };
            return form_again(&BottlePage::of(&app, &member, &found, typed));
        }
    };
    match deeds::check(&mut tx, at, (&found.entry, version), &words).await? {
        Written::Done => {
            tx.commit().await?;
            told(&app, &place, "checked")
        }
        Written::Meanwhile => Err(Error::conflict(
            "Somebody noted something about this entry since you opened it. Open it again and look once more.",
        )),
    }
}

/// Demands an organiser: to a steward it is not there.
fn organises(found: &Found) -> Result<(), Error> {
    found.opened.demand(&[Duty::Organiser])
}

pub(super) async fn fee(
    State(app): State<App>,
    member: Member,
    Path(place): Path<Where>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let (found, at) = about(&app, &mut tx, &member, &place, Act::NoteFee).await?;
    organises(&found)?;
    let is_paid = posted.one("paid")? == "yes";
    deeds::set_fee(&mut tx, at, &found.entry, is_paid).await?;
    tx.commit().await?;
    told(&app, &place, "fee")
}

pub(super) async fn turn_away(
    State(app): State<App>,
    member: Member,
    Path(place): Path<Where>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let (found, at) = about(&app, &mut tx, &member, &place, Act::TurnAway).await?;
    organises(&found)?;
    let reason = match forms::reason(&posted)? {
        Ok(reason) => reason,
        Err(form) => {
            let typed = Typed {
                out: Some(form),
                ..Typed::default()
            };
            return form_again(&BottlePage::of(&app, &member, &found, typed));
        }
    };
    deeds::turn_away(&mut tx, at, &found.entry, &reason).await?;
    tx.commit().await?;
    told(&app, &place, "out")
}
