//! The page of the export, and its file.

use askama::Template;
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::IntoResponse;

use super::{file, read, store};
use crate::app::App;
use crate::portability::{costly, paths};
use crate::web::Error;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "portability/export.html")]
struct ExportPage {
    shell: Shell,
    action: String,
    import: String,
    settings: String,
}

pub(in crate::portability) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    _: Member,
) -> Answer {
    let base = app.site.base();
    not_stored(page(&ExportPage {
        shell: app.shell(&viewer).at_place(Nav::Settings),
        action: base.link(paths::DOWNLOAD.path),
        import: base.link(paths::IMPORT.path),
        settings: base.link(crate::members::paths::SETTINGS.path),
    }))
}

pub(in crate::portability) async fn download(State(app): State<App>, member: Member) -> Answer {
    let turn = costly::turn().await?;
    let mut moment = store::snapshot(&app.pool).await?;
    let things = read(&mut moment, &member).await?;
    moment.rollback().await?;
    let (now, club) = (app.clock.now(), app.site.club_name());
    let name = format!("mustwright-{}.zip", now.format("%Y-%m-%d"));
    let id = member.id.0;
    let packed = turn
        .work(move || file(&things, &club, &member, now))
        .await?;
    let packed = packed.map_err(|_| {
        Error::conflict(
            "You have more here than one file can hold. Ask a keeper, who can make a backup of everything.",
        )
    })?;
    tracing::info!(member = id, bytes = packed.len(), "exported");
    let kind = (
        header::CONTENT_TYPE,
        HeaderValue::from_static("application/zip"),
    );
    let named = HeaderValue::try_from(format!("attachment; filename=\"{name}\""));
    let named = (
        header::CONTENT_DISPOSITION,
        named.map_err(Error::unexpected)?,
    );
    not_stored(Ok(([kind, named], packed).into_response()))
}
