//! The first page: for strangers what this is, for members the ways on.

use askama::Template;
use axum::Router;
use axum::extract::State;

use super::paths;
use crate::app::App;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::Viewer;

/// The routes of the first page.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES).on(paths::HOME, show).done()
}

#[derive(Template)]
#[template(path = "home/home.html")]
struct HomePage {
    shell: Shell,
}

async fn show(State(app): State<App>, viewer: Viewer) -> Answer {
    page(&HomePage {
        shell: app.shell(&viewer),
    })
}
