//! What is possible in which phase: one table, asked by every page and again by every write once it holds the competition.

use super::model::Phase;
use crate::engine::contest::rules::Rules;
use crate::web::error::Error;

/// What somebody does at a competition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Act {
    // Organisers.
    /// Rules, dates, terms, prizes: fixed before it opens.
    SetRules,
    SetCategories,
    /// Gives duties and takes them away.
    SetRoster,
    /// Takes the next phase.
    MoveOn,
    /// Goes one phase back, with a reason.
    Reopen,
    NoteFee,
    /// Reads whose the entries are.
    ReadNames,
    /// Takes an entry out that breaks a rule.
    TurnAway,
    /// Merges and splits categories by the rule.
    Regroup,
    MakeFlights,
    /// Says who sits at which flight.
    SeatJudges,
    /// Prints everything that is needed to finish on paper.
    PrintPaper,
    /// Types in a sheet from paper.
    TypePaper,
    /// Compares what was typed with the paper, as a second person.
    CheckPaper,
    /// Gives a signed sheet back to its judge.
    ReopenSheet,
    ReviewSheets,
    /// Notes the public number of the draw.
    NoteDraw,
    /// Reckons the results and freezes what they were reckoned from.
    Reckon,
    // Entrants.
    Enter,
    ChangeEntry,
    /// By its maker; [`may_withdraw`] asks the rules too.
    Withdraw,
    PrintLabels,
    ReadOwnSheets,
    // Stewards.
    /// Notes how bottles came.
    Receive,
    /// Looks whether bottle and words tell nothing, and masks what does.
    CheckEntry,
    /// Reads pouring lists and the queue.
    ReadPours,
    /// Notes that a flight is poured, and that it is done.
    Pour,
    // Judges.
    /// Says what one does not taste, and whose meads one must not judge.
    SayConflicts,
    WriteSheet,
    Sign,
    /// Mends a sheet that was given back.
    MendSheet,
    Recuse,
    /// Writes what the table agrees on.
    Agree,
    /// The same once more, after a sheet of that table was given back.
    AgreeAgain,
    // Everybody.
    ReadResults,
    /// Reads and verifies the chain of what was done.
    ReadDeeds,
}

impl Act {
    /// All of them.
    pub const ALL: [Act; 36] = [
        Act::SetRules,
        Act::SetCategories,
        Act::SetRoster,
        Act::MoveOn,
        Act::Reopen,
        Act::NoteFee,
        Act::ReadNames,
        Act::TurnAway,
        Act::Regroup,
        Act::MakeFlights,
        Act::SeatJudges,
        Act::PrintPaper,
        Act::TypePaper,
        Act::CheckPaper,
        Act::ReopenSheet,
        Act::ReviewSheets,
        Act::NoteDraw,
        Act::Reckon,
        Act::Enter,
        Act::ChangeEntry,
        Act::Withdraw,
        Act::PrintLabels,
        Act::ReadOwnSheets,
        Act::Receive,
        Act::CheckEntry,
        Act::ReadPours,
        Act::Pour,
        Act::SayConflicts,
        Act::WriteSheet,
        Act::Sign,
        Act::MendSheet,
        Act::Recuse,
        Act::Agree,
        Act::AgreeAgain,
        Act::ReadResults,
        Act::ReadDeeds,
    ];

    /// First and last phase in which it is possible.
    fn span(self) -> (Phase, Phase) {
        match self {
            Act::SetRules | Act::SetCategories => (Phase::Draft, Phase::Draft),
            Act::SetRoster => (Phase::Draft, Phase::Judging),
            Act::MoveOn => (Phase::Draft, Phase::Released),
            // What everybody has read cannot be hidden again, and rules are not touched once somebody entered under them.
            Act::Reopen => (Phase::Closed, Phase::Review),
            Act::NoteFee | Act::TurnAway => (Phase::Open, Phase::Review),
            Act::ReadNames => (Phase::Open, Phase::Archived),
            Act::Regroup => (Phase::Closed, Phase::Received),
            Act::MakeFlights | Act::SeatJudges => (Phase::Received, Phase::Judging),
            Act::PrintPaper | Act::ReadPours => (Phase::Received, Phase::Judging),
            Act::TypePaper | Act::CheckPaper | Act::Pour => (Phase::Judging, Phase::Judging),
            Act::ReopenSheet => (Phase::Judging, Phase::Review),
            Act::ReviewSheets | Act::NoteDraw | Act::Reckon => (Phase::Review, Phase::Review),
            Act::Enter | Act::ChangeEntry => (Phase::Open, Phase::Open),
            Act::Withdraw | Act::PrintLabels => (Phase::Open, Phase::Closed),
            Act::Receive | Act::CheckEntry => (Phase::Open, Phase::Judging),
            // Whatever is added once tables stand takes the judge off all that have not agreed: a refusal at one of them would
            // tell which entry is whose.
            Act::SayConflicts => (Phase::Open, Phase::Judging),
            Act::WriteSheet | Act::Sign | Act::Recuse | Act::Agree => {
                (Phase::Judging, Phase::Judging)
            }
            Act::MendSheet | Act::AgreeAgain => (Phase::Judging, Phase::Review),
            Act::ReadOwnSheets | Act::ReadResults => (Phase::Released, Phase::Archived),
            Act::ReadDeeds => (Phase::Draft, Phase::Archived),
        }
    }
}

/// Whether `act` is possible in `phase`.
pub fn allows(phase: Phase, act: Act) -> bool {
    let (first, last) = act.span();
    (first..=last).contains(&phase)
}

/// Demands that `act` is possible in `phase`: asked again by every write after `store::hold`. What was typed comes back with
/// the fault.
///
/// # Errors
/// A conflict that says where the competition stands.
pub fn demand(phase: Phase, act: Act) -> Result<(), Error> {
    match allows(phase, act) {
        true => Ok(()),
        false => Err(Error::conflict(format!(
            "This competition is {}: that is not possible any more, or not yet.",
            phase.says()
        ))),
    }
}

/// Whether a maker may still take an entry back: until entries close, or by the rules until the bottles are all here.
pub fn may_withdraw(phase: Phase, rules: &Rules) -> bool {
    allows(phase, Act::Withdraw) && (phase == Phase::Open || rules.withdraw_until == "received")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each act with the phases in which it is possible, a letter for each from draft to archived.
    const TABLE: [(Act, &str); 36] = [
        (Act::SetRules, "D......."),
        (Act::SetCategories, "D......."),
        (Act::SetRoster, "DOCRJ..."),
        (Act::MoveOn, "DOCRJVL."),
        (Act::Reopen, "..CRJV.."),
        (Act::NoteFee, ".OCRJV.."),
        (Act::ReadNames, ".OCRJVLA"),
        (Act::TurnAway, ".OCRJV.."),
        (Act::Regroup, "..CR...."),
        (Act::MakeFlights, "...RJ..."),
        (Act::SeatJudges, "...RJ..."),
        (Act::PrintPaper, "...RJ..."),
        (Act::TypePaper, "....J..."),
        (Act::CheckPaper, "....J..."),
        (Act::ReopenSheet, "....JV.."),
        (Act::ReviewSheets, ".....V.."),
        (Act::NoteDraw, ".....V.."),
        (Act::Reckon, ".....V.."),
        (Act::Enter, ".O......"),
        (Act::ChangeEntry, ".O......"),
        (Act::Withdraw, ".OC....."),
        (Act::PrintLabels, ".OC....."),
        (Act::ReadOwnSheets, "......LA"),
        (Act::Receive, ".OCRJ..."),
        (Act::CheckEntry, ".OCRJ..."),
        (Act::ReadPours, "...RJ..."),
        (Act::Pour, "....J..."),
        (Act::SayConflicts, ".OCRJ..."),
        (Act::WriteSheet, "....J..."),
        (Act::Sign, "....J..."),
        (Act::MendSheet, "....JV.."),
        (Act::Recuse, "....J..."),
        (Act::Agree, "....J..."),
        (Act::AgreeAgain, "....JV.."),
        (Act::ReadResults, "......LA"),
        (Act::ReadDeeds, "DOCRJVLA"),
    ];

    #[test]
    fn the_whole_table() {
        for (act, wanted) in TABLE {
            let found: String = Phase::ALL
                .into_iter()
                .zip("DOCRJVLA".chars())
                .map(|(phase, letter)| if allows(phase, act) { letter } else { '.' })
                .collect();
            assert_eq!(found, wanted, "{act:?}");
        }
        let rows = TABLE.map(|(act, _)| act);
        assert_eq!(rows, Act::ALL);
    }

    #[test]
    fn entries_are_taken_back_by_rule() {
        let until = |word: &str| {
            let rules = Rules {
                withdraw_until: word.to_owned(),
                ..Rules::default()
            };
            Phase::ALL.map(|phase| may_withdraw(phase, &rules))
        };
        let mut wanted = [false; 8];
        wanted[1] = true;
        assert_eq!(until("closed"), wanted);
        wanted[2] = true;
        assert_eq!(until("received"), wanted);
    }
}
