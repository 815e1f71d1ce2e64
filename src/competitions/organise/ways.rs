//! Ways from a competition's page, and from the list, to what organisers do.

use super::{deleting, paths};
use crate::app::App;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::shown::Way;
use crate::web::paths::Route;
use crate::web::viewer::{Member, Viewer};

/// From the list: who may open one.
pub(in crate::competitions) fn of_list(app: &App, member: &Member) -> Vec<Way> {
    if !Viewer::known(member.clone()).organises() {
        return Vec::new();
    }
    let way = |route: Route, words, about: &str| Way {
        url: app.site.base().link(route.path),
        words,
        about: about.to_owned(),
    };
    vec![
        way(
            paths::NEW,
            "Prepare a competition",
            "A draft at first, which only its organisers see.",
        ),
        way(
            paths::REHEARSAL,
            "Rehearse with six waters",
            "Twenty minutes in which everybody does everything once.",
        ),
    ]
}

/// From the page of one.
pub(in crate::competitions) fn ways(app: &App, opened: &Opened) -> Vec<Way> {
    let id = opened.competition.public_id.as_str();
    let way = |route: Route, words, about: &str| Way {
        url: app.site.base().link(&route.with(&[id])),
        words,
        about: about.to_owned(),
    };
    let mut ways = vec![way(
        paths::RULES,
        "Rules",
        "Days, bottles, categories, the scoresheet, what decides a tie.",
    )];
    if opened.has(Duty::Organiser) {
        ways.push(way(
            paths::PHASE,
            "Where it stands",
            "What the next step takes, and the step itself.",
        ));
        ways.push(way(
            paths::ROSTER,
            "Who helps",
            "Organisers, stewards and judges.",
        ));
    }
    if opened.keeps && !opened.has(Duty::Organiser) && opened.competition.phase != Phase::Archived {
        ways.push(way(
            paths::STEPPING_IN,
            "Step in as organiser",
            "Only where no organiser is left who can: with a reason that everybody may read.",
        ));
    }
    if opened.has(Duty::Judge) {
        ways.push(way(
            paths::MINE,
            "What you do not judge",
            "What you do not taste, whose meads you must not judge, how much you taste in a day.",
        ));
    }
    if opened.has(Duty::Organiser) || !opened.competition.phase.is_blind() {
        ways.push(way(
            paths::DEEDS,
            "What was done",
            "Every step in order, in a chain that shows whether anybody changed one.",
        ));
    }
    if deleting::may_go(opened) {
        ways.push(way(
            paths::ASK_DELETE,
            "Delete it",
            "It goes for good, asked once more. No recipe or batch goes with it.",
        ));
    }
    ways
}
