//! Ways from a competition's page to glasses and sheets, and who looks after which.

use std::collections::BTreeSet;

use sqlx::PgConnection;

use super::paths;
use crate::app::App;
use crate::competitions::flights::conflicts::store::walled_off;
use crate::competitions::model::{CategoryId, Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::shown::Way;
use crate::web::paths::Route;

/// Those that are this viewer's.
pub(in crate::competitions) fn ways(app: &App, opened: &Opened) -> Vec<Way> {
    let competition = &opened.competition;
    let way = |route: Route, words, about: &str| Way {
        url: app
            .site
            .base()
            .link(&route.with(&[competition.public_id.as_str()])),
        words,
        about: about.to_owned(),
    };
    let mut ways = Vec::new();
    if opened.has(Duty::Judge) && competition.phase >= Phase::Received {
        ways.push(way(
            paths::LIST,
            "Your glasses",
            "What you taste, one entry a page, and what your table agrees on.",
        ));
    }
    if looks_after_sheets(opened) {
        ways.push(way(
            paths::SHEETS,
            "All sheets",
            "Who has signed what; sheets on paper are typed in here and compared.",
        ));
    }
    ways
}

/// Whether somebody looks after the sheets, and there are any.
pub(super) fn looks_after_sheets(opened: &Opened) -> bool {
    let looks = opened.has(Duty::Organiser) || opened.has(Duty::Steward);
    looks && opened.competition.phase >= Phase::Judging
}

/// Categories in which the viewer has an entry: their sheets are somebody else's to look after.
pub(super) async fn walls(
    conn: &mut PgConnection,
    opened: &Opened,
) -> Result<BTreeSet<CategoryId>, sqlx::Error> {
    walled_off(conn, opened.competition.id, opened.viewer).await
}
