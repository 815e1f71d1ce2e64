//! The keeper's first page: what there is to look after.

use askama::Template;
use axum::extract::State;

use super::backups::{backup_state, trial_state};
use super::health::room;
use super::{paths, store};
use crate::app::App;
use crate::catalogue::paths as catalogue;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "admin/contents.html")]
struct ContentsPage {
    shell: Shell,
    rows: Vec<Row>,
    backup_is_old: bool,
    room_is_scarce: bool,
    trial_worries: bool,
    health: String,
}

/// One thing to look after.
struct Row {
    name: &'static str,
    at: String,
    state: String,
    what: &'static str,
}

/// A number with its noun.
fn many(count: i64, one: &str, more: &str) -> String {
    match count {
        0 => format!("no {more}"),
        1 => format!("one {one}"),
        count => format!("{count} {more}"),
    }
}

pub(super) async fn show(State(app): State<App>, viewer: Viewer, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let counts = store::counts(&mut conn).await?;
    let last = store::last_backup(&mut conn).await?;
    let tried = store::last_trial(&mut conn).await?;
    drop(conn);
    let backup = backup_state(last, app.clock.now(), member.settings.zone);
    let trial = trial_state(tried.as_ref(), app.clock.now(), member.settings.zone);
    let at = |path: &str| app.site.base().link(path);
    let keepers = many(counts.keepers, "keeper", "keepers");
    let rows = vec![
        Row {
            name: "Members",
            at: at(paths::MEMBERS.path),
            state: format!(
                "{}, {keepers} among them",
                many(counts.members, "member", "members")
            ),
            what: "Who belongs to the club and as what; a new password for who lost theirs.",
        },
        Row {
            name: "Invites",
            at: at(paths::INVITES.path),
            state: many(counts.invites, "invite open", "invites open"),
            what: "By whose links newcomers come in.",
        },
        Row {
            name: "Catalogue",
            at: at(catalogue::LIST.path),
            state: many(counts.entries, "entry of your own", "entries of your own"),
            what: "Honeys, fruit, yeasts and feeds that the book does not have.",
        },
        Row {
            name: "The club’s name and text",
            at: at(paths::CLUB.path),
            state: app.site.club_name().to_string(),
            what: "How the club is called on every page, and what it says of itself on the first.",
        },
        Row {
            name: "Health",
            at: at(paths::HEALTH.path),
            state: format!("Backup: {}", backup.words),
            what: "Version, room left, the database, the last backup.",
        },
    ];
    not_stored(page(&ContentsPage {
        shell: app.shell(&viewer).at_place(Nav::Keeper),
        rows,
        backup_is_old: backup.is_old,
        room_is_scarce: room(&app).1,
        trial_worries: trial.trouble.is_some(),
        health: at(paths::HEALTH.path),
    }))
}
