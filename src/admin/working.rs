//! What the servers do by themselves, as the keeper's page on health tells it.

use chrono_tz::Tz;

use crate::jobs::store::Standing;
use crate::jobs::{Job, Rhythm};
use crate::web::dates::moment;

/// A kind of work in words.
#[derive(Debug, PartialEq)]
pub(super) struct Working {
    pub words: &'static str,
    /// When it was done and comes again.
    pub state: String,
    /// What went wrong last, if that was not made good since.
    pub trouble: Option<String>,
}

/// How each job stands.
pub(super) fn told(jobs: &[Job], standings: &[Standing], zone: Tz) -> Vec<Working> {
    let one = |job: &Job| {
        let standing = standings.iter().find(|standing| standing.kind == job.kind);
        Working {
            words: job.words,
            state: state(job, standing, zone),
            trouble: standing.and_then(|standing| trouble(standing, zone)),
        }
    };
    jobs.iter().map(one).collect()
}

fn state(job: &Job, standing: Option<&Standing>, zone: Tz) -> String {
    let done = standing.and_then(|standing| standing.done_at);
    let done = match done {
        Some(at) => format!("done last on {}", moment(at, zone)),
        None => "not done yet".to_owned(),
    };
    let waiting = standing.map_or(0, |standing| standing.waiting);
    let next = match (job.rhythm, standing.and_then(|standing| standing.due_at)) {
        (Rhythm::Asked { .. }, _) if waiting == 0 => "nothing waits".to_owned(),
        (Rhythm::Asked { .. }, _) => format!("waiting: {waiting}"),
        (_, Some(at)) => format!("next on {}", moment(at, zone)),
        (_, None) => "next in a moment".to_owned(),
    };
    format!("{done}; {next}")
}

fn trouble(standing: &Standing, zone: Tz) -> Option<String> {
    let (Some(at), Some(why), true) = (standing.failed_at, &standing.failure, standing.is_failing)
    else {
        return None;
    };
    let again = match standing.due_at {
        Some(due) => format!("It is tried again on {}.", moment(due, zone)),
        None => "It is not tried again.".to_owned(),
    };
    Some(format!("{why} That was on {}. {again}", moment(at, zone)))
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use chrono::{DateTime, Utc};

    use super::*;

    fn at(hour: u32) -> Option<DateTime<Utc>> {
        format!("2026-05-20T{hour:02}:00:00Z").parse().ok()
    }

    fn job(rhythm: Rhythm) -> Job {
        Job::new("turning", "Turning the mash", rhythm, |_| async { Ok(()) })
    }

    fn standing() -> Standing {
        Standing {
            kind: "turning".to_owned(),
            waiting: 1,
            due_at: at(13),
            done_at: at(9),
            failed_at: at(12),
            failure: Some("The paddle broke.".to_owned()),
            is_failing: true,
        }
    }

    #[test]
    fn what_failed_last_is_told_until_it_is_made_good() {
        let hourly = [job(Rhythm::Every(Duration::from_secs(3600)))];
        let said = told(&hourly, &[standing()], chrono_tz::UTC);
        assert_eq!(
            said[0].state,
            "done last on Wednesday 20 May 2026, 09:00; next on Wednesday 20 May 2026, 13:00"
        );
        assert_eq!(
            said[0].trouble.as_deref(),
            Some(
                "The paddle broke. That was on Wednesday 20 May 2026, 12:00. It is tried again on Wednesday 20 May 2026, 13:00."
            )
        );
        let good = Standing {
            is_failing: false,
            ..standing()
        };
        assert_eq!(told(&hourly, &[good], chrono_tz::UTC)[0].trouble, None);
        let never = told(&hourly, &[], chrono_tz::UTC);
        assert_eq!(never[0].state, "not done yet; next in a moment");
    }

    #[test]
    fn what_is_asked_for_once_tells_how_many_wait() {
        let asked = [job(Rhythm::Asked {
            within: Duration::from_secs(60),
        })];
        let none = Standing {
            waiting: 0,
            due_at: None,
            ..standing()
        };
        let said = told(&asked, &[none], chrono_tz::UTC);
        assert!(
            said[0].state.ends_with("; nothing waits"),
            "{}",
            said[0].state
        );
        assert!(
            said[0]
                .trouble
                .as_ref()
                .is_some_and(|told| told.ends_with("It is not tried again."))
        );
        let some = told(&asked, &[standing()], chrono_tz::UTC);
        assert!(some[0].state.ends_with("; waiting: 1"));
    }
}
