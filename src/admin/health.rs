//! A keeper's page on how the server is: its version, its database, the room left, the last backup.

use askama::Template;
use axum::extract::State;

use super::backups::{BackupState, ByItself, TrialState, backup_state, by_itself, trial_state};
use super::paths;
use super::store::{self, Health, Table};
use super::working::{self, Working};
use crate::app::App;
use crate::cluster;
use crate::jobs;
use crate::jobs::store::Standing;
use crate::web::Error;
use crate::web::dates::moment;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Below this share of free room the page warns.
const SCARCE_PERCENT: u128 = 10;

/// What tables hold, in words: the beginning of their names decides, the first that fits.
const HOLD: &[(&str, &str)] = &[
    ("recipe_draft", "what is being typed"),
    ("recipe", "recipes and all their revisions"),
    ("revision", "recipes and all their revisions"),
    ("catalogue", "the club’s own catalogue"),
    ("once", "forms that were sent, for a week"),
    ("sign_in", "members, sessions and invites"),
    ("session", "members, sessions and invites"),
    ("member", "members, sessions and invites"),
    ("invite", "members, sessions and invites"),
    ("one_time", "members, sessions and invites"),
    ("vessel", "vessels and instruments"),
    ("instrument", "vessels and instruments"),
    ("cupboard", "cupboards, the honey shelf and orders"),
    ("jar", "cupboards, the honey shelf and orders"),
    ("honey", "cupboards, the honey shelf and orders"),
    ("meeting", "meetings"),
    ("batch_picture", "pictures beside logs"),
    ("batch", "batches and their logs"),
    ("refining", "batches and their logs"),
    ("split_trial", "batches and their logs"),
    ("cellar", "batches and their logs"),
    ("tasting", "tastings"),
    ("competition", "competitions"),
    ("club_equipment", "what is lent"),
    ("loan", "what is lent"),
    ("code_app", "members, sessions and invites"),
    ("half_sign_in", "members, sessions and invites"),
    ("passkey", "members, sessions and invites"),
    ("recovery_code", "members, sessions and invites"),
    ("second_step", "members, sessions and invites"),
];

#[derive(Template)]
#[template(path = "admin/health.html")]
struct HealthPage {
    shell: Shell,
    version: &'static str,
    since: String,
    database: String,
    size: String,
    holds: Vec<(String, String)>,
    connections: String,
    roles: &'static str,
    one_role: bool,
    migrations: String,
    address: String,
    is_https: bool,
    room: String,
    is_scarce: bool,
    backup: BackupState,
    by_itself: Option<ByItself>,
    trial: Option<TrialState>,
    working: Vec<Working>,
    contents: String,
}

/// A number of bytes as people say it.
pub(super) fn size(bytes: i64) -> String {
    let bytes = bytes as f64;
    match bytes {
        small if small < 1e3 => format!("{small} bytes"),
        small if small < 999.5e3 => format!("{:.0} kB", small / 1e3),
        middle if middle < 9.95e6 => format!("{:.1} MB", middle / 1e6),
        middle if middle < 999.5e6 => format!("{:.0} MB", middle / 1e6),
        large => format!("{:.1} GB", large / 1e9),
    }
}

/// What the tables hold, the largest first.
fn holds(tables: &[Table]) -> Vec<(String, String)> {
    let mut sums: Vec<(&str, i64)> = Vec::new();
    for table in tables {
        let found = HOLD.iter().find(|(start, _)| table.name.starts_with(start));
        let words = found.map_or("everything else", |(_, words)| *words);
        match sums.iter_mut().find(|(known, _)| *known == words) {
            Some((_, sum)) => *sum += table.bytes,
            None => sums.push((words, table.bytes)),
        }
    }
    sums.sort_by_key(|(_, sum)| std::cmp::Reverse(*sum));
    let told = sums
        .into_iter()
        .map(|(words, sum)| (words.to_owned(), size(sum)));
    told.collect()
}

/// The day in a migration's number, which begins with it.
fn day_of_migration(number: i64) -> String {
    let text = number.to_string();
    match (text.get(0..4), text.get(4..6), text.get(6..8)) {
        (Some(year), Some(month), Some(day)) => format!("{year}-{month}-{day}"),
        _ => text,
    }
}

fn migrations(health: &Health) -> String {
    match health.applied {
        None => "brought up to date at the start of the server".to_owned(),
        Some(applied) => {
            let newest = applied.newest.map(day_of_migration).unwrap_or_default();
            format!("{} steps applied, the newest of {newest}", applied.many)
        }
    }
}

/// The room left for the data, and whether it is little.
pub(super) fn room(app: &App) -> (String, bool) {
    let found = app.data_dir.as_deref().and_then(cluster::free_space);
    found.map_or(
        (
            "The database lives on a server of its own; look there for the room left.".to_owned(),
            false,
        ),
        room_told,
    )
}

/// Free bytes of all bytes in words, and whether that is little.
pub(super) fn room_told((free, whole): (u64, u64)) -> (String, bool) {
    let percent = u128::from(free) * 100 / u128::from(whole.max(1));
    let said = |bytes: u64| size(i64::try_from(bytes).unwrap_or(i64::MAX));
    (
        format!("{} of {} ({percent} %)", said(free), said(whole)),
        percent < SCARCE_PERCENT,
    )
}

pub(super) async fn show(State(app): State<App>, viewer: Viewer, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let health = store::health(&mut conn).await?;
    let standings = jobs::store::standings(&mut conn).await?;
    drop(conn);
    not_stored(page(&told(&app, &viewer, &member, &health, &standings)?))
}

fn told(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    health: &Health,
    standings: &[Standing],
) -> Result<HealthPage, Error> {
    let zone = member.settings.zone;
    let (room, is_scarce) = room(app);
    let now = app.clock.now();
    let by_itself = by_itself(app);
    let has_trials = by_itself.is_some() || health.trial.is_some();
    Ok(HealthPage {
        shell: app.shell(viewer).at_place(Nav::Keeper),
        version: env!("CARGO_PKG_VERSION"),
        since: moment(app.started_at, zone),
        database: health.version.clone(),
        size: size(health.bytes),
        holds: holds(&health.tables),
        connections: format!(
            "{} open, of at most {}; {} of them by this server, of at most {}",
            health.connections,
            health.connections_allowed,
            app.pool.size(),
            app.pool.options().get_max_connections()
        ),
        roles: match health.one_role {
            true => {
                "One role of the database does everything: a fault in a page could change what \
                 should never change, such as saved revisions. Two roles are safer; the README says how."
            }
            false => {
                "The role that serves pages may not change tables, nor rewrite what was saved for good."
            }
        },
        one_role: health.one_role,
        migrations: migrations(health),
        address: app.site.address("/"),
        is_https: app.site.is_https(),
        room,
        is_scarce,
        backup: backup_state(health.backup, now, zone),
        by_itself,
        trial: has_trials.then(|| trial_state(health.trial.as_ref(), now, zone)),
        working: working::told(&jobs::listed::all(app), standings, zone),
        contents: app.site.base().link(paths::KEEPER.path),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_said_as_people_say_them() {
        for (bytes, said) in [
            (12, "12 bytes"),
            (8_192, "8 kB"),
            (1_250_000, "1.2 MB"),
            (85_400_000, "85 MB"),
            (3_210_000_000, "3.2 GB"),
        ] {
            assert_eq!(size(bytes), said);
        }
    }

    #[test]
    fn little_room_is_less_than_a_tenth() {
        assert_eq!(
            room_told((12_000_000_000, 100_000_000_000)),
            ("12.0 GB of 100.0 GB (12 %)".to_owned(), false)
        );
        assert!(!room_told((10, 100)).1);
        assert!(room_told((9_999, 100_000)).1);
        assert!(room_told((0, 0)).1);
    }

    #[test]
    fn tables_are_told_by_what_they_hold() {
        let table = |name: &str, bytes: i64| Table {
            name: name.to_owned(),
            bytes,
        };
        let told = holds(&[
            table("club", 1_000),
            table("recipe_drafts", 5_000),
            table("recipes", 100_000),
            table("revisions", 900_000),
            table("batch_pictures", 3_000_000),
            table("batch_entries", 2_000_000),
        ]);
        let [pictures, logs, told @ ..] = told.as_slice() else {
            panic!("five kinds: {told:?}");
        };
        assert_eq!(pictures.0, "pictures beside logs");
        assert_eq!(logs.0, "batches and their logs");
        let first = &told[0];
        assert_eq!(
            (first.0.as_str(), first.1.as_str()),
            ("recipes and all their revisions", "1.0 MB")
        );
        assert_eq!(told[1].0, "what is being typed");
        assert_eq!(told[2].0, "everything else");
    }
}
