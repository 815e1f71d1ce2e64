//! Changing an entry while entries are open, taking it back by the rule, and saying that one had no part in it.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use sqlx::PgConnection;

use super::form_page::{FormPage, Known};
use super::model::{Mine, Refused};
use super::pages::{own, refusal};
use super::taking::{change, leave, withdraw};
use super::{forms, paths};
use crate::app::App;
use crate::competitions::opened::Opened;
use crate::competitions::phases::{Act, demand};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::typed::differences;
use crate::web::viewer::Member;

/// An entry that the member entered.
async fn led(conn: &mut PgConnection, opened: &Opened, entry: &str) -> Result<Mine, Error> {
    let mine = own(conn, opened, entry).await?;
    match mine.leads {
        true => Ok(mine),
        false => Err(Error::not_found()),
    }
}

pub(super) async fn edit(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let mine = led(&mut conn, &opened, &entry).await?;
    demand(opened.competition.phase, Act::ChangeEntry)?;
    let known = Known::read(&mut conn, &member, &opened).await?;
    let form = forms::filled(&mine, &known.others);
    page(&FormPage::of(
        &app,
        &member,
        &opened,
        known,
        Some(&mine),
        form,
    )?)
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    let mine = led(&mut tx, &opened, &entry).await?;
    let version = posted.one("version")?.parse().unwrap_or(0);
    let known = Known::read(&mut tx, &member, &opened).await?;
    let said = match forms::read(&posted, &known.against())? {
        Ok(said) => said,
        Err(form) => {
            let mut again = FormPage::of(&app, &member, &opened, known, Some(&mine), form)?;
            again.version = version;
            return form_again(&again);
        }
    };
    let now = app.clock.now();
    match change(
        &mut tx,
        &opened.competition,
        member.id,
        (&mine, version),
        &said,
        now,
    )
    .await?
    {
        Ok(()) => {
            tx.commit().await?;
            told(&app, &id, &entry, "saved")
        }
        Err(Refused::Changed) => {
            // What is there now was read before the competition was held.
            let theirs = led(&mut tx, &opened, &entry).await?;
            meanwhile(&app, &member, &opened, known, &theirs, &posted)
        }
        Err(refused) => Err(refusal(refused)),
    }
}

/// The page with both texts.
fn meanwhile(
    app: &App,
    member: &Member,
    opened: &Opened,
    known: Known,
    theirs: &Mine,
    posted: &Posted,
) -> Answer {
    if theirs.entry.withdrawn_at.is_some() {
        return Err(refusal(Refused::Withdrawn));
    }
    let yours = FormState::of(posted);
    let now = forms::filled(theirs, &known.others);
    let found = differences(forms::FIELDS, &now, &yours);
    let mut again = FormPage::of(app, member, opened, known, Some(theirs), yours)?;
    again.meanwhile = found;
    page_with(StatusCode::CONFLICT, &again)
}

fn told(app: &App, id: &str, entry: &str, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::ENTRY.with(&[id, entry]));
    see_other(app.site.base(), &path)
}

pub(super) async fn take_back(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    let mine = led(&mut tx, &opened, &entry).await?;
    match withdraw(&mut tx, &opened.competition, &mine, app.clock.now()).await? {
        Ok(()) => tx.commit().await?,
        // It is out: the same button twice.
        Err(Refused::Withdrawn) => {}
        Err(refused) => return Err(refusal(refused)),
    }
    told(&app, &id, &entry, "withdrawn")
}

pub(super) async fn had_no_part(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    let mine = own(&mut tx, &opened, &entry).await?;
    leave(
        &mut tx,
        &opened.competition,
        &mine,
        member.id,
        app.clock.now(),
    )
    .await?;
    tx.commit().await?;
    see_other(app.site.base(), &paths::MINE.with(&[&id]))
}
