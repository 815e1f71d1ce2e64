//! Results in words: places, how ties came apart, what is open, what is odd.

use crate::engine::contest::results::Open;
use crate::engine::contest::review::{Odd, OddlyAgreed};
use crate::engine::contest::rules::Tie;
use crate::engine::contest::ties::Step;

/// "1st", "2nd", "11th".
pub fn ordinal(place: u32) -> String {
    let ending = match (place % 10, place % 100) {
        (1, not) if not != 11 => "st",
        (2, not) if not != 12 => "nd",
        (3, not) if not != 13 => "rd",
        _ => "th",
    };
    format!("{place}{ending}")
}

/// "AB123 and CD234", "AB123, CD234 and EF345".
pub fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// How entries that shared a place came apart, or why they did not.
pub fn step(step: &Step) -> String {
    let who = listed(&step.codes);
    let by = match step.by {
        Tie::TastedAgain => "tasted again",
        Tie::MoreFirsts => "who was put first by more judges",
        Tie::Taste => "the points of one section, at one table",
        Tie::Drawn => "drawn from the public number",
    };
    if step.lacking {
        return match step.by {
            Tie::TastedAgain => format!("{who} stood level. Nobody tasted them again."),
            _ => format!("{who} stood level. There was no public number to draw from."),
        };
    }
    if step.groups.len() < 2 {
        return format!("{who} stood level, and still after asking: {by}.");
    }
    let groups: Vec<String> = step.groups.iter().map(|group| listed(group)).collect();
    format!(
        "{who} stood level. What decided, {by}: {}.",
        groups.join(" before ")
    )
}

/// What is not as it should be. `category` gives the name of a category's number.
pub fn open(open: &Open, category: impl Fn(u32) -> String) -> String {
    match open {
        Open::NoFlight { code } => format!("{code} is here and stands in no flight."),
        Open::NotAgreed { flight } => {
            format!("The table of flight {flight} has not agreed, or has to agree anew.")
        }
        Open::NoFinal { category: of } => format!(
            "{} was tasted at several tables and has no final. Points of different tables are not compared.",
            category(*of)
        ),
        Open::NotInFinal { category: of, code } => format!(
            "{code} goes on to the final of {} and was not poured there.",
            category(*of)
        ),
        Open::OrderUnread { flight } => format!(
            "A judge's order in flight {flight} does not name each glass once. It does not count."
        ),
        Open::NotTastedAgain { flight, codes } => format!(
            "{} share a place in flight {flight}, and were not tasted again. The next step of the rules decides.",
            listed(codes)
        ),
        Open::NoNumber { flight, codes } => format!(
            "{} share a place in flight {flight}. The draw decides, and its public number is not noted yet.",
            listed(codes)
        ),
        Open::NoBest => {
            "There are several categories, and no best of the show was tasted.".to_owned()
        }
    }
}

/// What is odd about a sheet.
pub fn odd(odd: &Odd) -> String {
    match odd {
        Odd::NoPoints { section } => format!("{section}: no points."),
        Odd::TooMany { section, points } => {
            format!("{section}: {points} points, more than the section has.")
        }
        Odd::NoSection { section } => {
            format!("It has points for “{section}”, which is no section of this sheet.")
        }
        Odd::NoComment { section } => format!("{section}: not a word."),
        Odd::NoAdvice => "Nothing for the next time.".to_owned(),
        Odd::Hurts { word } => format!("“{word}” may hurt: read it in its sentence."),
    }
}

/// What is odd about what a table agreed on.
pub fn oddly_agreed(odd: &OddlyAgreed) -> String {
    match odd {
        OddlyAgreed::Outside {
            points,
            least,
            most,
        } => format!(
            "agreed on {points} points, outside of all its sheets ({least} to {most}), and not tasted again"
        ),
        OddlyAgreed::FarApart { apart } => {
            format!("its sheets lie {apart} points apart, and it was not tasted again")
        }
        OddlyAgreed::FewSheets { signed } => match signed {
            0 => "agreed on without a signed sheet".to_owned(),
            _ => "agreed on with one signed sheet".to_owned(),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_told_as_people_say_them() {
        let told: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 102, 111].map(ordinal).into();
        let wanted = [
            "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "102nd", "111th",
        ];
        assert_eq!(told, wanted);
    }

    #[test]
    fn a_tie_tells_what_decided() {
        let codes = |some: &[&str]| some.iter().map(|one| (*one).to_owned()).collect::<Vec<_>>();
        let mut told = Step {
            about: "flight 1, place 1".to_owned(),
            by: Tie::MoreFirsts,
            codes: codes(&["AB123", "CD234", "EF345"]),
            groups: vec![codes(&["EF345"]), codes(&["AB123", "CD234"])],
            lacking: false,
        };
        assert_eq!(
            step(&told),
            "AB123, CD234 and EF345 stood level. What decided, who was put first by more judges: EF345 before AB123 and CD234."
        );
        told.groups = vec![told.codes.clone()];
        assert!(step(&told).contains("still after asking"));
        told.lacking = true;
        told.by = Tie::TastedAgain;
        assert!(step(&told).contains("Nobody tasted them again"));
    }
}
