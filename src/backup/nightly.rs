//! What happens by itself: a backup every night, a trial every month, and old files that go.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Datelike, NaiveDateTime, TimeDelta, TimeZone, Utc};
use sqlx::{Connection, PgConnection};

use super::{BackupError, Made, Source, backup, try_newest};
use crate::admin::store::{self, Outcome, Trial, Tried};
use crate::cluster;

/// A trial is made so long after the last one that succeeded, and after one that did not.
const TRIAL: TimeDelta = TimeDelta::days(30);
const TRIAL_AGAIN: TimeDelta = TimeDelta::hours(20);
/// What is kept: every backup of so many days, and the last of each of so many weeks and months.
const DAYS: i64 = 7;
const WEEKS: usize = 4;
const MONTHS: usize = 12;
const NAME: &str = "mustwright-%Y%m%d-%H%M%S.backup";

/// What a server needs to make backups by itself.
#[derive(Clone, Debug)]
pub struct Nightly {
    pub source: Source,
    /// Where the files lie.
    pub dir: PathBuf,
}

impl Nightly {
    /// A backup, and a trial of it where one is due. How a trial went is noted for the keeper's page.
    ///
    /// # Errors
    /// As for any backup.
    pub async fn night(&self, now: DateTime<Utc>) -> Result<(), BackupError> {
        let made = make(&self.source, &self.dir, now).await?;
        tracing::info!("{made}");
        let mut conn = PgConnection::connect_with(&self.source.owner).await?;
        let last = store::last_trial(&mut conn).await?;
        if is_trial_due(last.as_ref(), now) {
            let said = self.try_with(&mut conn, now).await?.said;
            tracing::info!("trial of the newest backup: {said}");
        }
        let _ = conn.close().await;
        Ok(())
    }

    /// A trial of the newest backup, due or not; what is to be told of it.
    ///
    /// # Errors
    /// It was not whole, or not possible.
    pub async fn try_now(&self, now: DateTime<Utc>) -> Result<String, BackupError> {
        let mut conn = PgConnection::connect_with(&self.source.owner).await?;
        let trial = self.try_with(&mut conn, now).await?;
        match trial.outcome {
            Outcome::Whole => Ok(trial.said),
            _ => Err(BackupError::Tried(trial.said)),
        }
    }

    async fn try_with(
        &self,
        conn: &mut PgConnection,
        now: DateTime<Utc>,
    ) -> Result<Trial, BackupError> {
        let trial = try_newest(&self.source.config, &self.dir).await;
        store::note_trial(conn, now, &trial).await?;
        Ok(trial)
    }
}

/// Whether it is time for a trial.
fn is_trial_due(last: Option<&Tried>, now: DateTime<Utc>) -> bool {
    last.is_none_or(|last| {
        let pause = match last.trial.outcome {
            Outcome::Whole => TRIAL,
            _ => TRIAL_AGAIN,
        };
        now - last.tried_at >= pause
    })
}

/// Makes a backup in the folder, which is made where it is missing, and removes old ones.
///
/// # Errors
/// There is too little room, or as for any backup. Nothing is removed then.
pub async fn make(source: &Source, dir: &Path, now: DateTime<Utc>) -> Result<Made, BackupError> {
    let of_dir = |cause| BackupError::Unwritten(dir.to_owned(), cause);
    let mut builder = tokio::fs::DirBuilder::new();
    builder.recursive(true).mode(0o700);
    builder.create(dir).await.map_err(of_dir)?;
    let last = newest(dir).and_then(|(_, file)| std::fs::metadata(file).ok());
    let needed = match last {
        Some(facts) => facts.len() * 2,
        None => database_bytes(source).await?,
    };
    demand_room(dir, needed)?;
    let file = dir.join(now.format(NAME).to_string());
    remove_unfinished(source, dir).await?;
    let made = backup(source, &file, now, true).await?;
    let there: Vec<DateTime<Utc>> = files(dir).into_iter().map(|(at, _)| at).collect();
    let kept = kept_of(&there, now);
    for (at, file) in files(dir) {
        if !kept.contains(&at) {
            tokio::fs::remove_file(&file).await.map_err(of_dir)?;
        }
    }
    Ok(made)
}

async fn database_bytes(source: &Source) -> Result<u64, BackupError> {
    let mut conn = PgConnection::connect_with(&source.owner).await?;
    let facts = super::store::facts(&mut conn).await?;
    let _ = conn.close().await;
    Ok(u64::try_from(facts.bytes).unwrap_or_default())
}

/// What a backup that was killed left behind; only while nobody makes one.
async fn remove_unfinished(source: &Source, dir: &Path) -> Result<(), BackupError> {
    let mut conn = PgConnection::connect_with(&source.owner).await?;
    if !super::store::claim(&mut conn).await? {
        return Err(BackupError::UnderWay);
    }
    let entries = std::fs::read_dir(dir).into_iter().flatten().flatten();
    for entry in entries {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.strip_suffix(".unfinished").and_then(time_in).is_some() {
            let _ = std::fs::remove_file(entry.path());
        }
    }
    super::store::release(&mut conn).await?;
    let _ = conn.close().await;
    Ok(())
}

/// Refuses where less is free than is needed.
pub(super) fn demand_room(dir: &Path, needed: u64) -> Result<(), BackupError> {
    match cluster::free_space(dir) {
        Some((free, _)) if free < needed => Err(BackupError::NoRoom {
            dir: dir.to_owned(),
            free: free / 1_000_000,
            needed: needed.div_ceil(1_000_000),
        }),
        _ => Ok(()),
    }
}

/// The backups in a folder that were made by themselves, with their time. Files of other names are left alone.
fn files(dir: &Path) -> Vec<(DateTime<Utc>, PathBuf)> {
    let entries = std::fs::read_dir(dir).into_iter().flatten().flatten();
    let mut found: Vec<_> = entries
        .filter_map(|entry| Some((time_in(entry.file_name().to_str()?)?, entry.path())))
        .collect();
    found.sort();
    found
}

fn time_in(name: &str) -> Option<DateTime<Utc>> {
    let time = NaiveDateTime::parse_from_str(name, NAME).ok()?;
    Some(Utc.from_utc_datetime(&time))
}

/// The newest backup in a folder.
pub fn newest(dir: &Path) -> Option<(DateTime<Utc>, PathBuf)> {
    files(dir).pop()
}

/// Which of these are kept: those of the last days, and the last of each of the last weeks and months that have one.
fn kept_of(there: &[DateTime<Utc>], now: DateTime<Utc>) -> BTreeSet<DateTime<Utc>> {
    let mut kept: BTreeSet<_> = there
        .iter()
        .copied()
        .filter(|at| now - *at < TimeDelta::days(DAYS))
        .collect();
    let mut newest_first = there.to_vec();
    newest_first.sort_by(|one, other| other.cmp(one));
    kept.extend(newest_first.first());
    let weeks = |at: &DateTime<Utc>| (at.iso_week().year(), at.iso_week().week());
    let months = |at: &DateTime<Utc>| (at.year(), at.month());
    kept.extend(last_of_each(&newest_first, WEEKS, weeks));
    kept.extend(last_of_each(&newest_first, MONTHS, months));
    kept
}

fn last_of_each<T: PartialEq>(
    newest_first: &[DateTime<Utc>],
    many: usize,
    span: impl Fn(&DateTime<Utc>) -> T,
) -> Vec<DateTime<Utc>> {
    let mut lasts: Vec<DateTime<Utc>> = Vec::new();
    for at in newest_first {
        if lasts.len() < many && lasts.last().is_none_or(|last| span(last) != span(at)) {
            lasts.push(*at);
        }
    }
    lasts
}

#[cfg(test)]
mod tests {
    use super::*;
    fn at(text: &str) -> DateTime<Utc> {
        format!("{text}:00Z").parse().unwrap()
    }

    #[test]
    fn a_trial_is_due_every_month_and_the_night_after_one_that_failed() {
        let now = at("2026-11-28T03:00");
        let due = |time: &str, outcome| {
            let last = Tried {
                tried_at: at(time),
                trial: Trial {
                    outcome,
                    made_at: None,
                    said: String::new(),
                },
            };
            is_trial_due(Some(&last), now)
        };
        assert!(is_trial_due(None, now));
        assert!(!due("2026-11-01T03:00", Outcome::Whole));
        assert!(due("2026-10-29T03:00", Outcome::Whole));
        assert!(due("2026-11-27T03:00", Outcome::NotWhole));
        assert!(!due("2026-11-27T23:00", Outcome::NotPossible));
    }

    #[test]
    fn a_year_of_nights_leaves_a_week_of_days_a_month_of_weeks_and_a_year_of_months() {
        let first = at("2025-10-01T03:00");
        let mut there: Vec<DateTime<Utc>> = Vec::new();
        let mut now = first;
        for night in 0..424 {
            now = first + TimeDelta::days(night);
            there.push(now);
            let kept = kept_of(&there, now);
            there.retain(|at| kept.contains(at));
            assert!(there.contains(&now), "the newest is always kept");
        }
        // 28 November 2026: 22 to 28; Sundays 22, 15 and 8 besides this week; the last days of months.
        assert_eq!(now, at("2026-11-28T03:00"));
        let days: Vec<String> = there
            .iter()
            .map(|at| at.format("%y%m%d").to_string())
            .collect();
        assert_eq!(
            days,
            [
                "251231", "260131", "260228", "260331", "260430", "260531", "260630", "260731",
                "260831", "260930", "261031", "261108", "261115", "261122", "261123", "261124",
                "261125", "261126", "261127", "261128"
            ]
        );
        assert!(
            kept_of(&[first], now).contains(&first),
            "the only one stays"
        );
    }

    #[test]
    fn only_files_of_its_own_names_are_its_own() {
        assert_eq!(
            time_in("mustwright-20261128-031500.backup"),
            Some(at("2026-11-28T03:15"))
        );
        assert_eq!(time_in("club.backup"), None);
        assert_eq!(
            time_in("mustwright-20261128-031500.backup.unfinished"),
            None
        );
        assert_eq!(time_in("mustwright-before-the-upgrade.backup"), None);
    }
}
