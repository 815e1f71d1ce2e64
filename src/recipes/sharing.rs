//! Who may see a recipe, and the bin.

use axum::extract::{Path, State};

use super::model::Visibility;
use super::public_id::PublicId;
use super::saving::SaveError;
use super::{paths, store};
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, see_other};
use crate::web::viewer::Member;

pub(super) async fn share(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let wanted: Visibility = posted
        .one("visibility")?
        .parse()
        .map_err(|()| Error::bad_request("Choose who may see the recipe, on its sheet."))?;
    let mut conn = app.pool.acquire().await?;
    match store::share(&mut conn, member.id, &id, wanted).await {
        Ok(()) => {
            // Where whoever has a link may see it, the links are what is wanted next.
            let next = match wanted {
                Visibility::Link => paths::LINKS,
                _ => paths::SHEET,
            };
            let path = next.with(&[id.as_str()]);
            see_other(app.site.base(), &format!("{path}?done=shared"))
        }
        Err(SaveError::WiderThanSource) => Err(Error::bad_request(
            "Share it no more widely than the recipe it was started from.",
        )),
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(_) => Err(Error::not_found()),
    }
}

pub(super) async fn bin(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    match store::bin(&mut conn, member.id, &id, app.clock.now()).await? {
        true => see_other(
            app.site.base(),
            &format!("{}?done=binned", paths::SHEET.with(&[id.as_str()])),
        ),
        false => Err(Error::not_found()),
    }
}

pub(super) async fn unbin(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    match store::unbin(&mut conn, member.id, &id).await? {
        true => see_other(
            app.site.base(),
            &format!("{}?done=unbinned", paths::SHEET.with(&[id.as_str()])),
        ),
        false => Err(Error::not_found()),
    }
}
