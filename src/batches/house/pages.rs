//! The page of the club's own figures.

use askama::Template;
use axum::extract::State;

use super::store;
use super::words::{Row, days_of_seasons, ends, losses_of_vessels};
use crate::app::App;
use crate::batches::outlook;
use crate::club;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// A table: what it is about, the head of its first column, its lines.
struct Part {
    id: &'static str,
    heading: &'static str,
    head: &'static str,
    rows: Vec<Row>,
}

#[derive(Template)]
#[template(path = "batches/figures.html")]
struct FiguresPage {
    shell: Shell,
    club_url: String,
    parts: Vec<Part>,
    /// From how many batches the forecast begins; 0 while the book's judgement stands.
    forecast_from: usize,
}

pub(super) async fn show(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let all = store::finished(&mut conn).await?;
    let earlier = outlook::store::earlier(&mut conn).await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    drop(conn);
    let yeast = |key: &str| {
        let known = catalogue.find_yeast(key);
        known.map_or_else(|| key.to_owned(), |yeast| yeast.name.clone())
    };
    let part = |id, heading, head, rows| Part {
        id,
        heading,
        head,
        rows,
    };
    page(&FiguresPage {
        shell: app.shell(&Viewer::known(member)).at_place(Nav::Club),
        club_url: app.site.base().link(club::paths::CLUB.path),
        parts: vec![
            part("ends", "Where meads end", "yeast", ends(&all, yeast)),
            part(
                "losses",
                "What stays behind",
                "vessel",
                losses_of_vessels(&all),
            ),
            part("days", "Days to the end", "mixed in", days_of_seasons(&all)),
        ],
        forecast_from: match outlook::has_own_prior(&earlier) {
            true => earlier.len(),
            false => 0,
        },
    })
}
