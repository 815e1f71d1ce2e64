//! Handlers of feeds.

use axum::Router;
use axum::extract::{Path, State};
use axum::http::HeaderMap;

use super::atom::{About, write};
use super::{paths, store};
use crate::app::App;
use crate::members::tokens::pages::comes_by;
use crate::recipes::paths::SHEET;
use crate::web::Error;
use crate::web::grant::Grant;
use crate::web::pages::{Answer, news_of};
use crate::web::paths::Routes;
use crate::web::units::Units;

const KIND: &str = "application/atom+xml; charset=utf-8";

/// The routes of feeds.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::PUBLIC, public)
        .on(paths::OF_MEMBER, of_member)
        .done()
}

async fn public(State(app): State<App>, headers: HeaderMap) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let news = store::list_public(&mut conn).await?;
    let about = About {
        title: format!("{}: recipes for everybody", app.site.club_name()),
        name: "recipes",
        own_url: Some(app.site.address(paths::PUBLIC.path)),
    };
    let text = write(&app.site, &about, &news, Units::Metric, |_| None)?;
    news_of(&headers, KIND, text, "public, no-cache")
}

async fn of_member(State(app): State<App>, headers: HeaderMap, Path(file): Path<String>) -> Answer {
    let token = file.strip_suffix(".atom").ok_or_else(Error::not_found)?;
    let mut conn = app.pool.acquire().await?;
    let member = comes_by(&app, &mut conn, token, Grant::Feed).await?;
    let news = store::list_club(&mut conn, member.id).await?;
    let about = About {
        title: format!("{}: what is new", app.site.club_name()),
        name: "club",
        own_url: None,
    };
    let sheet = |public_id: &str| app.site.address(&SHEET.with(&[public_id]));
    let units = member.settings.units;
    let text = write(&app.site, &about, &news, units, |one| {
        Some(sheet(one.public_id.as_str()))
    })?;
    news_of(&headers, KIND, text, "private, no-cache")
}
