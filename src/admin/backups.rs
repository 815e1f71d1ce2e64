//! What a keeper's page tells of backups: how old the last one is, where they go by themselves, whether one comes back.

use chrono::{DateTime, TimeDelta, Utc};

use super::health::{room_told, size};
use super::store::{Backup, Outcome, Tried};
use crate::app::App;
use crate::cluster;
use crate::web::dates::day;

/// A backup that is older than this is warned of (our judgement: a club types less than it can remember in a week).
const BACKUP_DAYS: i64 = 7;
/// After so many days without a trial something is wrong: one is due every 30.
const TRIAL_DAYS: i64 = 40;

/// Where backups go by themselves, and the room there.
pub(super) struct ByItself {
    pub dir: String,
    pub room: String,
    pub is_scarce: bool,
}

/// The last trial in words; what to do about it, if anything.
pub(super) struct TrialState {
    pub words: String,
    pub trouble: Option<String>,
}

/// What the last trial amounts to at this moment.
pub(super) fn trial_state(
    last: Option<&Tried>,
    now: DateTime<Utc>,
    zone: chrono_tz::Tz,
) -> TrialState {
    let Some(Tried { tried_at, trial }) = last else {
        return TrialState {
            words: "None was tried yet.".to_owned(),
            trouble: None,
        };
    };
    let tried = format!("Tried on {}", day(*tried_at, zone));
    let of = trial.made_at.map_or(String::new(), |made| {
        format!(" with the backup of {}", day(made, zone))
    });
    let (words, trouble) = match trial.outcome {
        Outcome::Whole => (format!("{tried}{of}: everything came back."), None),
        Outcome::NotWhole => (
            format!("{tried}{of}: it did not come back whole."),
            Some(format!(
                "The server says: {}. Make another backup by hand, try that one with mustwright trial-restore, and keep \
                 older files until one is whole.",
                trial.said.trim_end_matches('.')
            )),
        ),
        Outcome::NotPossible => (
            format!("{tried}{of}: there was no way to try it."),
            Some(format!(
                "The server says: {}. Copy the newest file to a machine that has PostgreSQL’s programs, and run \
                 mustwright trial-restore FILE there, once a month.",
                trial.said.trim_end_matches('.')
            )),
        ),
    };
    let is_old = now - *tried_at > TimeDelta::days(TRIAL_DAYS);
    let old = is_old.then(|| "No backup was tried for a long time.".to_owned());
    TrialState {
        words,
        trouble: trouble.or(old),
    }
}

/// The last backup in words, and whether to worry.
pub(super) struct BackupState {
    pub words: String,
    pub is_old: bool,
}

/// What the last backup amounts to at this moment.
pub(super) fn backup_state(
    last: Option<Backup>,
    now: DateTime<Utc>,
    zone: chrono_tz::Tz,
) -> BackupState {
    match last {
        None => BackupState {
            words: "None was ever made.".to_owned(),
            is_old: true,
        },
        Some(backup) => {
            let days = (now - backup.made_at).num_days();
            let ago = match days {
                0 => "less than a day old".to_owned(),
                1 => "a day old".to_owned(),
                days => format!("{days} days old"),
            };
            let at = day(backup.made_at, zone);
            BackupState {
                words: format!("Made on {at}: {ago}, {}.", size(backup.bytes)),
                is_old: now - backup.made_at > TimeDelta::days(BACKUP_DAYS),
            }
        }
    }
}

pub(super) fn by_itself(app: &App) -> Option<ByItself> {
    let dir = &app.backups.as_ref()?.dir;
    // The folder is made with the first backup; until then the disk is that of what will hold it.
    let found = dir.ancestors().find_map(cluster::free_space);
    let (room, is_scarce) = found.map_or(("not known".to_owned(), false), room_told);
    Some(ByItself {
        dir: dir.display().to_string(),
        room,
        is_scarce,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::admin::store::Trial;

    #[test]
    fn a_backup_worries_after_a_week() {
        let now: DateTime<Utc> = "2026-05-20T12:00:00Z".parse().unwrap();
        let state = |days: i64, hours: i64| {
            let made_at = now - TimeDelta::days(days) - TimeDelta::hours(hours);
            backup_state(
                Some(Backup {
                    made_at,
                    bytes: 2_000_000,
                }),
                now,
                chrono_tz::UTC,
            )
        };
        assert!(backup_state(None, now, chrono_tz::UTC).is_old);
        assert!(!state(0, 3).is_old);
        assert!(!state(6, 23).is_old);
        assert!(state(7, 1).is_old);
        assert_eq!(state(1, 2).words, "Made on 19 May 2026: a day old, 2.0 MB.");
    }

    #[test]
    fn a_trial_is_told_with_what_to_do() {
        let now: DateTime<Utc> = "2026-05-20T12:00:00Z".parse().unwrap();
        let state = |days: i64, outcome| {
            let tried = Tried {
                tried_at: now - TimeDelta::days(days),
                trial: Trial {
                    outcome,
                    made_at: Some(now - TimeDelta::days(days)),
                    said: "table members has 3 rows of 4".to_owned(),
                },
            };
            trial_state(Some(&tried), now, chrono_tz::UTC)
        };
        assert_eq!(
            trial_state(None, now, chrono_tz::UTC).words,
            "None was tried yet."
        );
        let fine = state(3, Outcome::Whole);
        assert_eq!(
            fine.words,
            "Tried on 17 May 2026 with the backup of 17 May 2026: everything came back."
        );
        assert_eq!(fine.trouble, None);
        assert!(state(41, Outcome::Whole).trouble.is_some(), "long ago");
        let trouble = state(3, Outcome::NotWhole).trouble.unwrap();
        assert!(
            trouble.contains("3 rows of 4. Make another backup"),
            "{trouble}"
        );
        let trouble = state(3, Outcome::NotPossible).trouble.unwrap();
        assert!(trouble.contains("trial-restore FILE"), "{trouble}");
    }
}
