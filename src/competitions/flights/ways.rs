//! Ways from a competition's page to its flights.

use super::{paths, view};
use crate::app::App;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::shown::Way;
use crate::web::paths::Route;

/// What the viewer finds here, where the competition stands now.
pub(in crate::competitions) fn ways(app: &App, opened: &Opened) -> Vec<Way> {
    let way = |route: Route, words, about: &str| Way {
        url: view::at(app, opened, route),
        words,
        about: about.to_owned(),
    };
    let pours = opened.has(Duty::Organiser) || opened.has(Duty::Steward);
    let judging = opened.allows(Act::ReadPours);
    let mut ways = Vec::new();
    if pours && opened.competition.phase >= Phase::Received {
        ways.push(way(
            paths::FLIGHTS,
            "Flights",
            "Which glasses stand together, who tastes them, when.",
        ));
    }
    if pours && judging {
        ways.push(way(
            paths::QUEUE,
            "The queue",
            "What is on which table, and what is poured next.",
        ));
        ways.push(way(
            paths::PAPER,
            "Everything on paper",
            "Sheets, pouring lists, tags and tables in one print, for a hall without network.",
        ));
    }
    if judging && (pours || opened.has(Duty::Judge)) {
        ways.push(way(
            paths::CALIBRATION,
            "The calibration mead",
            "One mead that everybody knows opens the day.",
        ));
    }
    ways.push(way(
        paths::CATEGORIES,
        "Categories as they are judged",
        "Small ones are judged with their neighbours, large ones in parts: the rule, and what came of it.",
    ));
    ways
}
