//! A meeting for a calendar.

use chrono::{DateTime, TimeDelta, Utc};

use super::model::Meeting;
use crate::web::calendar::{Event, When, write};

/// How long an evening is taken to be (our judgement, no published source).
const HOURS: i64 = 3;

/// The file of one meeting; `url` is the address of its page, `host` the name of the site.
pub fn file(meeting: &Meeting, url: &str, host: &str, now: DateTime<Utc>) -> String {
    let said = &meeting.said;
    let event = Event {
        uid: format!("{}@{host}", meeting.public_id),
        sequence: meeting.version,
        changed_at: now,
        when: When::Between(said.starts_at, said.starts_at + TimeDelta::hours(HOURS)),
        title: said.title.clone(),
        place: said.place.clone(),
        about: said.about.clone(),
        url: url.to_owned(),
        cancelled: meeting.cancelled,
    };
    write("Meetings", "", &[event])
}
