//! The ways from a competition's page to entering and to what one entered.

use chrono::NaiveDate;

use super::model::over;
use super::paths;
use super::sealed_page::may_read;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::shown::Way;
use crate::web::paths::{Base, Route};

/// For everybody who sees the competition; `today` as the clock of whoever looks says.
pub(in crate::competitions) fn ways(opened: &Opened, base: &Base, today: NaiveDate) -> Vec<Way> {
    let phase = opened.competition.phase;
    let id = opened.competition.public_id.as_str();
    let way = |route: Route, words: &'static str, about: &str| Way {
        url: base.link(&route.with(&[id])),
        words,
        about: about.to_owned(),
    };
    let mut ways = Vec::new();
    if may_enter(opened, today) {
        let about = "A batch of yours or a bottle. It gets a code, and nobody who judges or pours learns whose it is.";
        ways.push(way(paths::NEW, "Enter a mead", about));
    }
    if phase >= Phase::Open {
        let about = "With their codes and labels, and where their bottles are.";
        ways.push(way(paths::MINE, "Your entries", about));
    }
    if phase >= Phase::Open && opened.has(Duty::Organiser) {
        let about = "By their codes, with fees and bottles.";
        ways.push(way(paths::ENTRIES, "Entries and fees", about));
    }
    if phase >= Phase::Closed && may_read(opened) {
        let about = "A seal on whose every entry is, made when entries closed: nobody can change that without its being seen.";
        ways.push(way(paths::SEALED, "The seal", about));
    }
    ways
}

/// Whether one may still enter: entries are open, and the last day is not over.
pub(super) fn may_enter(opened: &Opened, today: NaiveDate) -> bool {
    opened.allows(Act::Enter) && over(&opened.competition.rules, today).is_none()
}
