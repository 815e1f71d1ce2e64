//! In which order a competition's page offers its parts: what is due in a phase stands first.

use super::model::Phase;
use super::shown::Way;

/// What is due, for whoever finds it; all else keeps its own order behind.
fn due(phase: Phase) -> &'static [&'static str] {
    match phase {
        Phase::Draft => &["Rules", "Who helps", "Where it stands"],
        Phase::Open => &[
            "Enter a mead",
            "Your entries",
            "What you do not judge",
            "The desk",
            "Where it stands",
        ],
        Phase::Closed => &[
            "The desk",
            "Where it stands",
            "Your entries",
            "What you do not judge",
        ],
        Phase::Received => &[
            "Your glasses",
            "Flights",
            "Where it stands",
            "Everything on paper",
        ],
        Phase::Judging => &[
            "Your glasses",
            "The queue",
            "All sheets",
            "Where it stands",
            "The calibration mead",
        ],
        Phase::Review => &["Look through sheets and results", "Where it stands"],
        Phase::Released | Phase::Archived => &["Results", "Your entries"],
    }
}

/// What stands last, wherever it is offered: it cannot be taken back.
const LAST: &str = "Delete it";

/// The ways on, those that are due first.
pub(super) fn sorted(phase: Phase, mut ways: Vec<Way>) -> Vec<Way> {
    let due = due(phase);
    let place = |way: &Way| due.iter().position(|words| *words == way.words);
    ways.sort_by_key(|way| (way.words == LAST, place(way).unwrap_or(due.len())));
    ways
}
