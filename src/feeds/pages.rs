//! Handlers of feeds.

use axum::Router;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use super::atom::{About, write};
use super::{paths, store};
use crate::app::App;
use crate::members::tokens::store::use_token;
use crate::recipes::paths::SHEET;
use crate::web::Error;
use crate::web::grant::Grant;
use crate::web::pages::Answer;
use crate::web::paths::Routes;
use crate::web::units::Units;

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
    answer(&headers, text, "public, no-cache")
}

async fn of_member(State(app): State<App>, headers: HeaderMap, Path(file): Path<String>) -> Answer {
    let token = file.strip_suffix(".atom").ok_or_else(Error::not_found)?;
    let mut conn = app.pool.acquire().await?;
    let used = use_token(&mut conn, token, app.api_per_minute)
        .await?
        .filter(|used| used.opens == Grant::Feed)
        .filter(|used| {
            let role = used.member.role;
            !app.second_step.holds(role, used.standing.has_second_step)
        })
        .ok_or_else(Error::not_found)?;
    if let Some(seconds) = used.wait {
        return Err(Error::too_often(seconds));
    }
    let news = store::list_club(&mut conn, used.member.id).await?;
    let about = About {
        title: format!("{}: what is new", app.site.club_name()),
        name: "club",
        own_url: None,
    };
    let sheet = |public_id: &str| app.site.address(&SHEET.with(&[public_id]));
    let units = used.member.settings.units;
    let text = write(&app.site, &about, &news, units, |one| {
        Some(sheet(one.public_id.as_str()))
    })?;
    answer(&headers, text, "private, no-cache")
}

/// The feed, or that it is the one which the reader has already.
fn answer(asked: &HeaderMap, text: String, kept: &'static str) -> Answer {
    let digest = Sha256::digest(text.as_bytes());
    let short: String = digest
        .iter()
        .take(16)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    // Weak: the same feed goes out compressed and plain.
    let tag = format!("W/\"{short}\"");
    let known = asked
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(','))
        .any(|one| {
            one.trim() == "*" || one.trim().trim_start_matches("W/") == format!("\"{short}\"")
        });
    let headers = [
        (
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/atom+xml; charset=utf-8"),
        ),
        (header::CACHE_CONTROL, HeaderValue::from_static(kept)),
        (
            header::ETAG,
            HeaderValue::try_from(tag).map_err(Error::unexpected)?,
        ),
    ];
    let answer: Response = match known {
        true => (StatusCode::NOT_MODIFIED, headers).into_response(),
        false => (headers, text).into_response(),
    };
    Ok(answer)
}
