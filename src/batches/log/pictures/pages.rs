//! A picture as it is sent, and its removal.

use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::IntoResponse;

use super::store;
use crate::app::App;
use crate::batches::paths;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::pages::{Answer, see_other};
use crate::web::viewer::Member;

fn ids(batch: &str, picture: &str) -> Result<(PublicId, PublicId), Error> {
    let read = |text: &str| text.parse::<PublicId>().map_err(|_| Error::not_found());
    Ok((read(batch)?, read(picture)?))
}

pub(in crate::batches::log) async fn show(
    State(app): State<App>,
    member: Member,
    Path((batch, picture)): Path<(String, String)>,
) -> Answer {
    let (batch, picture) = ids(&batch, &picture)?;
    let mut conn = app.pool.acquire().await?;
    let image = store::image(&mut conn, member.id, (&batch, &picture)).await?;
    let image = image.ok_or_else(Error::not_found)?;
    // What an address shows never changes; it stays with whoever may see it.
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("image/jpeg")),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("private, max-age=604800, immutable"),
        ),
    ];
    Ok((headers, image).into_response())
}

pub(in crate::batches::log) async fn remove(
    State(app): State<App>,
    member: Member,
    Path((id, picture)): Path<(String, String)>,
) -> Answer {
    let (batch, picture) = ids(&id, &picture)?;
    let mut conn = app.pool.acquire().await?;
    match store::remove(&mut conn, member.id, (&batch, &picture)).await? {
        true => {
            let path = format!("{}?done=picture-removed", paths::BATCH.with(&[&id]));
            see_other(app.site.base(), &path)
        }
        false => Err(Error::not_found()),
    }
}
