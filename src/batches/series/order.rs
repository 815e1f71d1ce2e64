//! The order of a refining series, and its end.

use askama::Template;
use axum::extract::{Path, State};

use super::pages::{count_words, own, shell, told};
use super::store;
use crate::app::App;
use crate::batches::paths;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "batches/series_delete.html")]
struct DeletePage {
    shell: Shell,
    name: String,
    series_url: String,
    action: String,
    /// "3 batches".
    batches: String,
}

/// Moves a batch one place up or down, from the place where it was seen: the same press twice moves it once.
pub(super) async fn move_step(
    State(app): State<App>,
    member: Member,
    Path((id, batch)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let up = match posted.one("way")? {
        "up" => true,
        "down" => false,
        _ => return Err(Error::bad_request("Choose up or down.")),
    };
    let seen: Option<usize> = posted.one("place")?.parse().ok();
    let mut tx = app.pool.begin().await?;
    let series = own(&mut tx, &member, &id).await?;
    store::lock(&mut tx, series.id).await?;
    let steps = store::steps(&mut tx, member.id, series.id).await?;
    let mut order: Vec<String> = steps
        .iter()
        .map(|step| step.batch.as_str().to_owned())
        .collect();
    let at = order.iter().position(|known| *known == batch);
    let at = at.ok_or_else(Error::not_found)?;
    let to = match up {
        true => at.checked_sub(1),
        false => Some(at + 1).filter(|to| *to < order.len()),
    };
    if let (Some(to), true) = (to, seen == Some(at + 1)) {
        order.swap(at, to);
        store::put_order(&mut tx, series.id, &order).await?;
        tx.commit().await?;
    }
    told(&app, &id, "moved")
}

pub(super) async fn ask_to_delete(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let series = own(&mut conn, &member, &id).await?;
    let base = app.site.base();
    page(&DeletePage {
        shell: shell(&app, &member),
        series_url: base.link(&paths::SERIES.with(&[&id])),
        action: base.link(&paths::SERIES_DELETED.with(&[&id])),
        batches: count_words(series.batches),
        name: series.name,
    })
}

pub(super) async fn delete(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let series = own(&mut tx, &member, &id).await?;
    store::delete(&mut tx, series.id).await?;
    tx.commit().await?;
    let list = format!("{}?done=deleted", paths::ALL_SERIES.path);
    see_other(app.site.base(), &list)
}
