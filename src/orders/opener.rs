//! What only the opener of an order does to it; a keeper may call it off.

use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::model::{Order, Phase};
use super::pages::{Whole, closed_meanwhile, found, order_page, speaks, told};
use super::{forms, paths, store};
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, see_other};
use crate::web::random;
use crate::web::viewer::{Member, Role};

/// An order that the member opened.
async fn own(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Whole, Error> {
    let whole = found(conn, member, id).await?;
    match whole.order.opener == member.id {
        true => Ok(whole),
        false => Err(Error::not_found()),
    }
}

pub(super) async fn offer(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let whole = own(&mut tx, &member, &id).await?;
    let once = Once::read(&posted, &member)?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let offer = match forms::offer(&posted, &catalogue, speaks(&app, &member))? {
        Ok(offer) => offer,
        Err(form) => {
            return form_again(&order_page(&app, &member, &mut tx, &whole, form).await?);
        }
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::OFFER).await? {
        return see_other(app.site.base(), &location);
    }
    let honey = random::public_id()?;
    let now = app.clock.now();
    if !store::offer(&mut tx, (&id, member.id), &honey, &offer, now).await? {
        return Err(no_more(&app, &whole.order));
    }
    let location = format!("{}?done=offered", paths::ORDER.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::OFFER, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

fn no_more(app: &App, order: &Order) -> Error {
    match order.phase(app.clock.now()) {
        Phase::Open => {
            Error::bad_request("One order offers at most 20 honeys. Open another for the rest.")
        }
        _ => closed_meanwhile(),
    }
}

pub(super) async fn correct(
    State(app): State<App>,
    member: Member,
    Path((id, honey)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let whole = own(&mut conn, &member, &id).await?;
    if !whole.honeys.iter().any(|known| known.public_id == honey) {
        return Err(Error::not_found());
    }
    let (price, pack) = match forms::corrected(&posted, &honey, speaks(&app, &member))? {
        Ok(read) => read,
        Err(form) => {
            return form_again(&order_page(&app, &member, &mut conn, &whole, form).await?);
        }
    };
    let now = app.clock.now();
    match store::correct(&mut conn, (&id, member.id), &honey, price, pack, now).await? {
        true => told(&app, &id, "saved"),
        false => Err(closed_meanwhile()),
    }
}

pub(super) async fn take_out(
    State(app): State<App>,
    member: Member,
    Path((id, honey)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let whole = own(&mut conn, &member, &id).await?;
    if store::take_out(&mut conn, (&id, member.id), &honey, app.clock.now()).await? {
        return told(&app, &id, "out");
    }
    match whole.honeys.iter().any(|known| known.public_id == honey) {
        true => Err(Error::conflict(
            "It stays: somebody has asked for it, or the order was closed meanwhile.",
        )),
        false => Err(Error::not_found()),
    }
}

pub(super) async fn close(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    own(&mut conn, &member, &id).await?;
    match store::close(&mut conn, &id, member.id, app.clock.now()).await? {
        true => told(&app, &id, "closed"),
        false => Err(closed_meanwhile()),
    }
}

pub(super) async fn finish(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    own(&mut conn, &member, &id).await?;
    match store::finish(&mut conn, &id, member.id, app.clock.now()).await? {
        true => told(&app, &id, "done"),
        false => Err(Error::conflict(
            "Close the order first; or it has ended already.",
        )),
    }
}

pub(super) async fn cancel(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let whole = found(&mut conn, &member, &id).await?;
    let keeps = member.role == Role::Keeper;
    if whole.order.opener != member.id && !keeps {
        return Err(Error::not_found());
    }
    let opener = (!keeps).then_some(member.id);
    match store::cancel(&mut conn, &id, opener, app.clock.now()).await? {
        true => told(&app, &id, "cancelled"),
        false => Err(Error::conflict("The order has ended already.")),
    }
}

pub(super) async fn tick(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    own(&mut conn, &member, &id).await?;
    let buyer = posted.one("member")?;
    let ticks = (posted.one("paid")? == "yes", posted.one("handed")? == "yes");
    let now = app.clock.now();
    match store::tick(&mut conn, (&id, member.id), buyer, ticks, now).await? {
        true => told(&app, &id, "noted"),
        false => Err(Error::conflict(
            "Nothing was noted: the order is still open or has ended, or this member asked for nothing.",
        )),
    }
}
