//! A thing that is lent in words.

use chrono::NaiveDate;

use super::{Ending, Loan, Thing};
use crate::web::dates::day;
use crate::web::viewer::MemberId;

/// Whose it is: "the club’s", "yours", "Oskar’s".
pub fn whose(thing: &Thing, reader: MemberId) -> String {
    match &thing.owner {
        None => "the club’s".to_owned(),
        Some((owner, _)) if *owner == reader => "yours".to_owned(),
        Some((_, name)) => format!("{name}’s"),
    }
}

/// "12 December 2026".
pub fn on(day: NaiveDate) -> String {
    day.format("%-d %B %Y").to_string()
}

/// Where it is now: "at hand", "lent to Oskar since …, until …".
pub fn state(thing: &Thing, reader: MemberId, zone: chrono_tz::Tz, today: NaiveDate) -> String {
    let Some(loan) = &thing.loan else {
        return match thing.withdrawn {
            true => "lent no more".to_owned(),
            false => "at hand".to_owned(),
        };
    };
    let who = match loan.member == reader {
        true => "you".to_owned(),
        false => loan.member_name.clone(),
    };
    let until = on(loan.until);
    match loan.lent_at {
        Some(since) => {
            let late = match loan.until < today {
                true => ": it is late",
                false => "",
            };
            format!(
                "lent to {who} since {}, until {until}{late}",
                day(since, zone)
            )
        }
        None => format!(
            "asked for by {who} on {}, until {until}",
            day(loan.asked_at, zone)
        ),
    }
}

/// A loan that is over: "3 May to 9 May 2026", and how it ended.
pub fn past(loan: &Loan, zone: chrono_tz::Tz) -> (String, String) {
    let Some((ended_at, ending)) = loan.ended else {
        return (String::new(), String::new());
    };
    let ended = day(ended_at, zone);
    match (loan.lent_at, ending) {
        (Some(since), _) => {
            let came_back = match loan.came_back.as_str() {
                "" => "given back".to_owned(),
                words => format!("given back: {words}"),
            };
            (format!("{} to {ended}", day(since, zone)), came_back)
        }
        (None, Ending::Refused) => (format!("asked, {ended}"), "refused".to_owned()),
        (None, _) => (format!("asked, {ended}"), "not needed any more".to_owned()),
    }
}
