//! A competition as a line of a list: on the club's page, on the first page, among all.

use super::model::{Competition, Phase};
use super::paths;
use crate::app::App;
use crate::web::dates::{date, day};
use crate::web::viewer::Member;

/// A competition in a list.
pub struct Row {
    pub url: String,
    pub title: String,
    pub meta: String,
    pub going_on: bool,
}

/// Where it stands, with the day that matters now.
pub fn stands(competition: &Competition, member: &Member) -> String {
    let rules = &competition.rules;
    let on = |text: &Option<String>| text.as_deref()?.parse().ok().map(date);
    let says = competition.phase.says();
    let told = match competition.phase {
        Phase::Draft => None,
        Phase::Open => on(&rules.closes_on).map(|day| format!("until {day}")),
        Phase::Closed => on(&rules.drop_off_until).map(|day| format!("bottles until {day}")),
        Phase::Received | Phase::Judging | Phase::Review => {
            on(&rules.judged_on).map(|day| format!("judged on {day}"))
        }
        Phase::Released | Phase::Archived => competition
            .released_at
            .map(|at| format!("since {}", day(at, member.settings.zone))),
    };
    let kind = if competition.rehearsal {
        "a rehearsal, "
    } else {
        ""
    };
    match (competition.phase, told) {
        (Phase::Open | Phase::Released | Phase::Archived, Some(told)) => {
            format!("{kind}{says} {told}")
        }
        (_, Some(told)) => format!("{kind}{says}, {told}"),
        (_, None) => format!("{kind}{says}"),
    }
}

/// The same as a sentence.
pub fn sentence(competition: &Competition, member: &Member) -> String {
    let stands = stands(competition, member);
    let mut letters = stands.chars();
    let first = letters.next().map(|first| first.to_uppercase());
    let first: String = first.into_iter().flatten().collect();
    format!("{first}{}.", letters.as_str())
}

/// The line of one.
pub fn row(app: &App, member: &Member, competition: &Competition) -> Row {
    let path = paths::COMPETITION.with(&[competition.public_id.as_str()]);
    Row {
        url: app.site.base().link(&path),
        title: competition.title.clone(),
        meta: stands(competition, member),
        going_on: competition.phase < Phase::Archived,
    }
}
