//! What is said just after an entry was written: how the batch goes by it, and what is to be done next.

use std::cmp::Ordering;

use crate::batches::model::Logged;
use crate::engine::forecast::Band;
use crate::engine::log::Deed;
use crate::engine::outlook::Course;
use crate::web::units;

/// What is known of how it goes and of what comes next.
#[derive(Clone, Debug, Default)]
pub struct Known {
    /// Whether the gravity counts.
    pub is_used: bool,
    /// Whether something is asked about it.
    pub is_asked: bool,
    /// The range in which the gravity was expected before it was read.
    pub expected: Option<Band>,
    pub course: Option<Course>,
    pub next: Option<Next>,
}

/// The step that comes next, in words.
#[derive(Clone, Debug, Default)]
pub struct Next {
    pub name: String,
    pub much: String,
    pub when: String,
    pub is_due: bool,
    /// Whether powder goes into a must that is full of gas.
    pub is_powder: bool,
}

/// One or two sentences; `lead` is what the entry is called.
pub fn sentence(logged: &Logged, lead: &str, known: &Known) -> String {
    let first = match &logged.deed {
        Deed::Reading(reading) => reading.sg.map(|sg| {
            let said = gravity(sg, known);
            match corrected(sg, reading.read_sg) {
                Some(read) => format!("{read} {said}"),
                None => said,
            }
        }),
        _ => None,
    };
    let first = first.unwrap_or_else(|| format!("{lead}: written into the log."));
    match known.next.as_ref().map(next) {
        Some(next) => format!("{first} {next}"),
        None => first,
    }
}

/// "1.052–1.061".
pub fn range(band: Band) -> String {
    let (low, high) = (units::gravity(band.low), units::gravity(band.high));
    match low == high {
        true => low,
        false => format!("{low}–{high}"),
    }
}

/// Whoever typed another number than the one that counts is told why.
fn corrected(sg: f64, read_sg: Option<f64>) -> Option<String> {
    let [counts, read] = [Some(sg), read_sg].map(|sg| sg.map(units::gravity));
    let (counts, read) = (counts?, read?);
    (read != counts).then(|| format!("{read} on your hydrometer is {counts} corrected."))
}

fn gravity(sg: f64, known: &Known) -> String {
    let read = units::gravity(sg);
    if !known.is_used {
        return format!("{read} is written down, but does not count for now: see below.");
    }
    if known.is_asked {
        return format!("{read} is written down, and something is asked about it: see below.");
    }
    let place = known
        .expected
        .map_or(Ordering::Equal, |band| beside(sg, band));
    // Whatever it is judged by, a range that says the contrary is not told.
    let told = |says: Ordering| match known.expected.filter(|_| place == says) {
        Some(band) => format!(" ({} was expected)", range(band)),
        None => String::new(),
    };
    let (low, within, high) = (
        told(Ordering::Less),
        told(Ordering::Equal),
        told(Ordering::Greater),
    );
    match known.course {
        None => format!("{read} is written down."),
        Some(Course::Early) => {
            format!("{read} is written down; on the first day nothing needs to be seen yet.")
        }
        Some(Course::NotRead | Course::OnCourse) => match place {
            Ordering::Less => format!("{read} is further than expected{low}."),
            Ordering::Equal => format!("{read} is on course{within}."),
            Ordering::Greater => format!("{read} is not as far as expected{high}."),
        },
        Some(Course::AheadOfForecast) => format!("{read} is further than expected{low}."),
        Some(Course::AskAboutTheLid) => format!(
            "{read} is higher than expected{high}. A lid that leaks makes a silent airlock: look at that first, then stir and read again tomorrow."
        ),
        Some(Course::Slow) => format!(
            "{read} is slower than expected{high}. Look at the temperature and at the feeding."
        ),
        Some(Course::PossibleStall) => format!(
            "{read}: it may have stopped with sugar left{high}. Go through what to look at before you add anything."
        ),
        Some(Course::AtItsLimit) => format!(
            "{read}: it stands still near the most that this yeast bears. What is left may stay sweet; close no bottle yet."
        ),
        Some(Course::Ended) => format!(
            "{read}: it stands still, and next to no sugar is left. Two equal readings 14 days apart come before any bottle."
        ),
    }
}

/// Where a gravity lies beside a range, both as they are told.
fn beside(sg: f64, band: Band) -> Ordering {
    let [read, low, high] = [sg, band.low, band.high].map(|sg| (1000.0 * sg).round());
    match () {
        () if read < low => Ordering::Less,
        () if read > high => Ordering::Greater,
        () => Ordering::Equal,
    }
}

fn next(step: &Next) -> String {
    let much = |before: &str| match step.much.as_str() {
        "" => String::new(),
        much => format!("{before}{much}"),
    };
    let gas = match step.is_powder && step.is_due {
        true => "; stir the gas out first",
        false => "",
    };
    match step.is_due {
        true => format!("To do now: {}{}{gas}.", step.name, much(", ")),
        false => format!("Next: {}, {}{}.", step.name, step.when, much(": ")),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::engine::log::entry::Reading;

    fn logged(sg: f64) -> Logged {
        let at = chrono::DateTime::UNIX_EPOCH;
        Logged {
            entry: 7,
            version: 1,
            deed: Deed::Reading(Reading {
                sg: Some(sg),
                ..Reading::default()
            }),
            at,
            recorded_at: at,
            by_name: "Ada".to_owned(),
            typed: BTreeMap::new(),
            struck: false,
            came_from: "page".to_owned(),
            heard: None,
        }
    }

    #[test]
    fn the_answer_is_where_it_stands_and_what_is_next() {
        let mut known = Known {
            is_used: true,
            is_asked: false,
            expected: Some(Band {
                low: 1.0523,
                best: 1.056,
                high: 1.0608,
            }),
            course: Some(Course::OnCourse),
            next: Some(Next {
                name: "Feed 3".to_owned(),
                much: "4.5 g of mixed nutrient".to_owned(),
                when: "tomorrow".to_owned(),
                is_due: true,
                is_powder: true,
            }),
        };
        assert_eq!(
            sentence(&logged(1.058), "1.058", &known),
            "1.058 is on course (1.052–1.061 was expected). To do now: Feed 3, 4.5 g of mixed nutrient; stir the gas out first."
        );
        known.next.as_mut().unwrap().is_due = false;
        known.course = Some(Course::Slow);
        let said = sentence(&logged(1.066), "1.066", &known);
        assert!(
            said.starts_with("1.066 is slower than expected (1.052–1.061"),
            "{said}"
        );
        assert!(
            said.ends_with("Next: Feed 3, tomorrow: 4.5 g of mixed nutrient."),
            "{said}"
        );
        known.is_asked = true;
        let said = sentence(&logged(1.014), "1.014", &known);
        assert!(
            said.starts_with("1.014 is written down, and something is asked about it"),
            "{said}"
        );
        known.is_used = false;
        assert!(sentence(&logged(1.2), "1.200", &known).contains("does not count"));
    }

    #[test]
    fn no_range_is_told_that_contradicts_the_sentence() {
        let said = |sg: f64, course| {
            let known = Known {
                is_used: true,
                expected: Some(Band {
                    low: 1.0566,
                    best: 1.060,
                    high: 1.0634,
                }),
                course: Some(course),
                ..Known::default()
            };
            sentence(&logged(sg), "", &known)
        };
        for (sg, course, words) in [
            (
                1.057,
                Course::OnCourse,
                "1.057 is on course (1.057–1.063 was expected).",
            ),
            (
                1.014,
                Course::OnCourse,
                "1.014 is further than expected (1.057–1.063 was expected).",
            ),
            (
                1.070,
                Course::OnCourse,
                "1.070 is not as far as expected (1.057–1.063 was expected).",
            ),
            (
                1.058,
                Course::AheadOfForecast,
                "1.058 is further than expected.",
            ),
        ] {
            assert_eq!(said(sg, course), words);
        }
        for course in [Course::Slow, Course::PossibleStall, Course::AskAboutTheLid] {
            assert!(!said(1.058, course).contains("was expected"));
            assert!(said(1.064, course).contains("1.057–1.063 was expected"));
        }
    }

    #[test]
    fn a_number_that_was_corrected_is_told_beside_the_one_that_was_typed() {
        let mut logged = logged(1.057);
        let known = Known {
            is_used: true,
            ..Known::default()
        };
        let said = |logged: &Logged| sentence(logged, "1.057", &known);
        assert_eq!(said(&logged), "1.057 is written down.");
        if let Deed::Reading(reading) = &mut logged.deed {
            reading.read_sg = Some(1.058);
        }
        assert_eq!(
            said(&logged),
            "1.058 on your hydrometer is 1.057 corrected. 1.057 is written down."
        );
    }

    #[test]
    fn every_course_says_something_of_its_own() {
        let told = |course| {
            let known = Known {
                is_used: true,
                course: Some(course),
                ..Known::default()
            };
            sentence(&logged(1.05), "1.050", &known)
        };
        let mut all: Vec<String> = Course::ALL.iter().map(|course| told(*course)).collect();
        let count = all.len();
        all.sort();
        all.dedup();
        // Not read yet and on course are the same to whoever has just read.
        assert_eq!(all.len(), count - 1, "{all:?}");
    }
}
