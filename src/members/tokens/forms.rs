//! The form that makes a token: from text to typed.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;

use super::NewToken;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::grant::Grant;

/// How long a token may be good for at most, days.
const MOST_DAYS: u64 = 731;
/// The longest name, characters.
const NAME_MOST: usize = 60;

/// What a token may be for, in words.
pub const OPENS: &[(&str, &str)] = &[
    ("read", "a program that reads the recipes that I see"),
    (
        "write",
        "a program that reads them and changes, shares and bins my own",
    ),
    ("feed", "a feed reader: what is new in the club"),
    ("calendar", "a calendar: what my batches want, and when"),
];
/// For how long.
pub const DAYS: &[(&str, &str)] = &[
    ("30", "30 days"),
    ("90", "90 days"),
    ("365", "a year"),
    ("day", "until the day below"),
];

/// The form as it opens.
pub fn fresh() -> FormState {
    let mut state = FormState::new();
    state.set("opens", "read");
    state.set("good_for", "90");
    state
}

/// Reads the form; the password is the caller's to check.
pub fn read(
    posted: &Posted,
    now: DateTime<Utc>,
    zone: Tz,
) -> Result<Result<NewToken, FormState>, Error> {
    let mut state = FormState::of(posted);
    let name = posted.one("name")?.trim();
    if name.is_empty() || name.chars().count() > NAME_MOST {
        state.refuse(
            "name",
            format!("Name the program or the device, in at most {NAME_MOST} characters."),
        );
    }
    let opens = Grant::from_word(posted.one("opens")?);
    if opens.is_none() {
        state.refuse("opens", "Choose what it is for.");
    }
    let today = now.with_timezone(&zone).date_naive();
    let expires_at = match (posted.one("good_for")?, posted.one("until")?.trim()) {
        ("30", "") => now.checked_add_days(Days::new(30)),
        ("90", "") => now.checked_add_days(Days::new(90)),
        ("365", "") => now.checked_add_days(Days::new(365)),
        ("30" | "90" | "365" | "day", typed) => end_of_day(typed, today, zone),
        _ => None,
    };
    match expires_at {
        Some(_) => {}
        None if ["30", "90", "365", "day"].contains(&posted.one("good_for")?) => state.refuse(
            "until",
            "Write a day like 2027-03-01 or 1 March 2027: later than today, within two years.",
        ),
        None => state.refuse("good_for", "Choose how long it is good for."),
    }
    if posted.one("password")?.is_empty() {
        state.refuse("password", "Enter your password.");
    }
    Ok(match (opens, expires_at) {
        (Some(opens), Some(expires_at)) if state.is_sound() => Ok(NewToken {
            name: name.to_owned(),
            opens,
            expires_at,
        }),
        _ => Err(state),
    })
}

/// The end of the day that was typed, where its member lives.
fn end_of_day(typed: &str, today: NaiveDate, zone: Tz) -> Option<DateTime<Utc>> {
    let ways = ["%Y-%m-%d", "%d %B %Y", "%d %b %Y", "%d.%m.%Y"];
    let short = typed.len() <= 40;
    let mut read = ways
        .iter()
        .filter_map(|way| NaiveDate::parse_from_str(typed, way).ok());
    let day = read.next().filter(|_| short)?;
    let last = today.checked_add_days(Days::new(MOST_DAYS))?;
    let next = day.succ_opt().filter(|_| day > today && day <= last)?;
    let local = next.and_time(NaiveTime::MIN);
    // Where the clock jumps over midnight the day ends as it would have without the jump.
    let end = zone.from_local_datetime(&local).earliest();
    Some(end.map_or_else(|| local.and_utc(), |end| end.with_timezone(&Utc)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(typed: &str, zone: Tz) -> Option<String> {
        let today = NaiveDate::from_ymd_opt(2026, 11, 28)?;
        end_of_day(typed, today, zone).map(|end| end.to_rfc3339())
    }

    #[test]
    fn a_day_ends_where_its_member_lives() {
        let utc = Some("2027-03-02T00:00:00+00:00".to_owned());
        for typed in ["2027-03-01", "1 March 2027", "01 Mar 2027", "1.3.2027"] {
            assert_eq!(ends(typed, chrono_tz::UTC), utc, "{typed}");
        }
        let kiritimati = ends("2027-03-01", chrono_tz::Pacific::Kiritimati);
        assert_eq!(kiritimati.as_deref(), Some("2027-03-01T10:00:00+00:00"));
        // Midnight of 28 March 2027 does not exist in Beirut.
        let jumped = ends("2027-03-27", chrono_tz::Asia::Beirut);
        assert!(jumped.is_some_and(|end| end.starts_with("2027-03-2")));
    }

    #[test]
    fn what_is_no_day_to_come_is_none() {
        for typed in [
            "",
            "0000-00-00",
            "2027-02-29",
            "2027-13-01",
            "10000-01-01",
            "+10000-01-01",
            "-2027-01-01",
            "2026-11-28",
            "2026-11-27",
            "2029-01-01",
            "soon",
            "2027-03-01T00:00:00+14:00",
            "２０２７-03-01",
        ] {
            assert_eq!(ends(typed, chrono_tz::UTC), None, "{typed}");
        }
    }
}
