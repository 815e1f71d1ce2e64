//! Batches in words.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::model::{Batch, BatchLine, Ending};
use super::opened::Opened;
use super::paths;
use crate::app::App;
use crate::web::dates::day;
use crate::web::units::{self, Units};
use crate::web::viewer::Member;

/// A batch in a list.
pub struct Row {
    pub url: String,
    /// Where its maker logs.
    pub log_url: String,
    pub name: String,
    pub words: String,
    pub meta: String,
    /// Its newest gravity.
    pub figure: String,
}

/// "since 3 May 2026", "mixed on 3 May 2026" where that lies ahead or it is over.
fn since(began_at: DateTime<Utc>, now: DateTime<Utc>, ended: bool, zone: Tz) -> String {
    let day = day(began_at, zone);
    match (began_at > now, ended) {
        (true, _) => format!("will be mixed on {day}"),
        (false, true) => format!("mixed on {day}"),
        (false, false) => format!("going since {day}"),
    }
}

/// How it ended, in words.
pub fn ended(ending: Ending) -> &'static str {
    match ending {
        Ending::Bottled => "in bottles",
        Ending::PouredAway => "poured away",
        Ending::Parted => "in parts",
    }
}

/// A line of a list.
pub fn row(app: &App, member: &Member, line: BatchLine) -> Row {
    let zone = member.settings.zone;
    let mut words = vec![since(
        line.began_at,
        app.clock.now(),
        line.ended_at.is_some(),
        zone,
    )];
    words.extend(
        line.ending
            .zip(line.ended_at)
            .map(|(ending, at)| format!("{} since {}", ended(ending), day(at, zone))),
    );
    let mut meta = Vec::new();
    if line.owner != member.id {
        meta.push(format!("by {}", line.owner_name));
    }
    // What is reckoned to be left of a batch that has ended is of no use to anybody.
    let is_going = line.ending.is_none();
    meta.extend(
        line.volume_l
            .filter(|_| is_going)
            .map(|litres| units::volume(litres, member.settings.units)),
    );
    let so_far = if is_going { " so far" } else { "" };
    meta.extend(
        line.abv_percent
            .filter(|abv| *abv >= 0.05)
            .map(|abv| format!("{}{so_far}", units::abv(abv))),
    );
    meta.extend(
        line.last_reading_at
            .map(|at| format!("last read {}", day(at, zone))),
    );
    Row {
        url: app
            .site
            .base()
            .link(&paths::BATCH.with(&[line.public_id.as_str()])),
        log_url: app
            .site
            .base()
            .link(&paths::LOG.with(&[line.public_id.as_str()])),
        name: line.name,
        words: words.join(", "),
        meta: meta.join(" · "),
        figure: line.sg.map(units::gravity).unwrap_or_default(),
    }
}

/// What is left when all of it went on, litres.
const NOTHING_L: f64 = 0.05;

/// The sentence that leads: how much of what, how strong it is, and since when.
pub fn lead(opened: &Opened, now: DateTime<Utc>, zone: Tz, reads: Units) -> String {
    let Batch {
        began_at, ended_at, ..
    } = opened.batch;
    let since = since(began_at, now, ended_at.is_some(), zone);
    let state = &opened.state;
    let filled = state.packaged_l > NOTHING_L;
    let is_empty = state.volume_l <= NOTHING_L;
    // What is reckoned to be left of a batch that is in bottles is of no use to anybody.
    let is_filled = filled && (is_empty || ended_at.is_some());
    let much = match is_filled {
        true => format!("{} filled", units::volume(state.packaged_l, reads)),
        false => units::volume(state.volume_l, reads),
    };
    let read = opened.last_gravity().map(|(sg, at)| {
        let (sg, at) = (units::gravity(sg), day(at, zone));
        format!("{sg} on {at}, {} of alcohol", units::abv(state.abv_percent))
    });
    let is_gone = ended_at.is_some() && is_empty && !filled;
    let so_far = if is_filled { "" } else { " so far" };
    match (is_gone, read) {
        (false, Some(read)) => format!("{much}, {since}; {read}{so_far}."),
        (false, None) => format!("{much}, {since}. No gravity was read yet."),
        (true, Some(read)) => format!("Nothing is left here of what was {since}: {read}."),
        (true, None) => format!("Nothing is left here of what was {since}."),
    }
}
