//! What a member's batches want today.

use chrono::{DateTime, NaiveTime, TimeDelta, Utc};
use sqlx::PgConnection;

use super::pages::{reader, reads};
use super::view::view;
use super::when::{Reads, Timing};
use super::{Placed, planned, store};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::{cellar, paths, trials};
use crate::engine::log::Deed;
use crate::engine::plan::{Step, StepKind};
use crate::engine::problem::{Caution, CautionCode};
use crate::web::error::Error;
use crate::web::typed::instant;
use crate::web::viewer::Member;

/// Batches that are looked at.
const BATCHES: i64 = 30;
/// Bottles are tasted for so many days.
const TASTED_DAYS: i64 = 731;
/// Steps of one batch that are told of.
const OF_ONE: usize = 3;
/// A reading is asked for when the last is older, hours: until a third of the sugar is gone, and after that until it stands
/// still (our judgement, no published source).
const READ_AGAIN_H: [f64; 2] = [48.0, 168.0];

/// Something that a batch wants.
pub struct Wanted {
    pub url: String,
    /// "Feed 2: Heather, first".
    pub words: String,
    pub detail: String,
    /// Since when.
    pub since: DateTime<Utc>,
}

/// The member's batches whose plans may want something, opened.
///
/// # Errors
/// When the database fails, or what is stored does not read.
pub async fn going(
    conn: &mut PgConnection,
    member: &Member,
    now: DateTime<Utc>,
) -> Result<Vec<Opened>, Error> {
    let since = now - TimeDelta::days(TASTED_DAYS);
    let ids = store::with_a_plan(conn, member.id, since, BATCHES).await?;
    let mut opened = Vec::with_capacity(ids.len());
    for id in ids {
        opened.push(open_own(conn, member, id.as_str()).await?);
    }
    Ok(opened)
}

/// What is due, the oldest first.
///
/// # Errors
/// When the database fails, or what is stored does not read.
pub async fn wanted(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<Wanted>, Error> {
    let opened = going(conn, member, app.clock.now()).await?;
    let mut wanted: Vec<Wanted> = opened
        .iter()
        .flat_map(|opened| of_batch(app, member, opened))
        .collect();
    wanted.extend(trials::due::wanted(app, conn, member).await?);
    wanted.extend(kept_back(app, conn, member).await?);
    wanted.sort_by_key(|one| one.since);
    Ok(wanted)
}

/// Bottles that were kept back until now.
async fn kept_back(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<Wanted>, Error> {
    let reader = cellar::pages::reader(app, member);
    let lots = cellar::store::lots(conn, member.id, None).await?;
    let due = lots.iter().filter(|lot| lot.is_kept_time(reader.today));
    let wanted = due.filter_map(|lot| {
        let since = instant(lot.kept_until?, NaiveTime::MIN, reader.zone)?;
        let path = cellar::paths::LOT.with(&[&lot.public_id]);
        Some(Wanted {
            url: reader.base.link(&path),
            words: format!("Taste side by side: {}", lot.batch_name),
            detail: format!("{} kept back until now", cellar::bottles(lot.kept())),
            since,
        })
    });
    Ok(wanted.collect())
}

fn of_batch(app: &App, member: &Member, opened: &Opened) -> Vec<Wanted> {
    let reads = reads(app, member);
    let plan = planned(opened, reads);
    let due = plan
        .iter()
        .filter(|placed| placed.is_due && placed.step.every_h.is_none());
    let due: Vec<&Placed> = due.collect();
    // Stirring and feeding are one errand.
    let is_fed = |number: Option<u32>| {
        let mut steps = due.iter().map(|placed| &placed.step);
        steps.any(|step| step.kind == StepKind::Feed && step.number == number)
    };
    let is_own = |step: &Step| step.kind != StepKind::Degas || !is_fed(step.number);
    let due: Vec<&Placed> = due
        .iter()
        .copied()
        .filter(|placed| is_own(&placed.step))
        .collect();
    let more = due.len().saturating_sub(OF_ONE);
    let told = due.iter().take(OF_ONE).enumerate();
    let mut wanted: Vec<Wanted> = told
        .map(|(at, placed)| {
            let shown = view(opened, placed, reader(app, member, opened));
            let mut detail = vec![match placed.timing {
                Some(timing) if timing.has_come(reads) => briefly(timing, reads),
                _ => shown.when.clone(),
            }];
            let foams = |caution: &Caution| caution.code == CautionCode::StirBeforeFeeding;
            if placed.step.cautions.iter().any(foams) {
                detail.push("stir the gas out first".to_owned());
            }
            detail.extend(Some(shown.much()).filter(|much| !much.is_empty()));
            if more > 0 && at + 1 == OF_ONE {
                detail.push(format!("and {more} more"));
            }
            Wanted {
                url: shown.url,
                words: format!("{}: {}", shown.name, opened.batch.name),
                detail: detail.join(" · "),
                since: placed
                    .timing
                    .map_or(reads.now, |timing| timing.place(reads.zone)),
            }
        })
        .collect();
    if due.is_empty() {
        wanted.extend(reading(app, opened, reads.now));
    }
    wanted
}

/// When a step is wanted whose day has come.
fn briefly(timing: Timing, reads: Reads) -> String {
    match timing.is_late(reads) {
        true => format!("was due {}", timing.words(reads)),
        false => timing.words(reads),
    }
}

/// A reading, when the last is older than a fermentation should be left alone.
fn reading(app: &App, opened: &Opened, now: DateTime<Utc>) -> Option<Wanted> {
    let marks = &opened.state.marks;
    let pitch = marks.pitch?;
    let over = marks.end.is_some() || opened.state.stabilised || marks.packaged.is_some();
    if over
        || opened
            .entries
            .iter()
            .any(|entry| matches!(entry.deed, Deed::Rack(_)))
    {
        return None;
    }
    let every = READ_AGAIN_H[usize::from(marks.one_third.is_some())];
    let last = opened
        .last_gravity()
        .map_or(pitch, |(_, at)| opened.batch.hours_at(at).max(pitch));
    let since = opened
        .batch
        .at_hours(last + every)?
        .max(opened.batch.created_at + TimeDelta::minutes(1));
    let path = paths::LOG.with(&[opened.batch.public_id.as_str()]);
    (since <= now).then(|| Wanted {
        url: app.site.base().link(&path),
        words: format!("Read the gravity: {}", opened.batch.name),
        detail: match opened.last_gravity() {
            Some(_) => "its last reading is some days old".to_owned(),
            None => "nothing was read since the yeast went in".to_owned(),
        },
        since,
    })
}
