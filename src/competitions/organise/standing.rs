//! What the next phase demands, from how far everything is.

use chrono::NaiveDate;

use crate::competitions::model::Phase;
use crate::engine::contest::rules::{Rules, Tie};

/// How far everything is, counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    pub categories: i64,
    /// Entries that nobody took back.
    pub entries: i64,
    /// Of them: nobody said how their bottles came.
    pub unreceived: i64,
    /// Of those whose bottles are here: nobody looked whether they tell anything.
    pub unchecked: i64,
    /// Of those: in no flight of their category.
    pub unpoured: i64,
    pub flights: i64,
    /// Of them: nobody sits at the table.
    pub unseated: i64,
    /// Of them: not done.
    pub undone: i64,
    /// Whether results were reckoned since it came into review.
    pub reckoned: bool,
}

fn some(count: i64, one: &str, several: &str) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        count => Some(format!("{count} {several}")),
    }
}

/// What is still to be done before it may go on to `next`; empty where nothing is. `today` as the organiser's clock says.
pub fn missing(next: Phase, standing: &Standing, rules: &Rules, today: NaiveDate) -> Vec<String> {
    let found = match next {
        Phase::Draft => Vec::new(),
        Phase::Open => opening(standing, rules),
        Phase::Closed => vec![closing(rules, today)],
        Phase::Received => vec![
            some(
                standing.unreceived,
                "entry of which nobody said how its bottles came: here, leaking, late or missing.",
                "entries of which nobody said how their bottles came: here, leaking, late or missing.",
            ),
            some(
                standing.unchecked,
                "entry whose bottles and words nobody looked at: do they tell whose it is?",
                "entries whose bottles and words nobody looked at: do they tell whose they are?",
            ),
        ],
        Phase::Judging => vec![
            (standing.flights == 0).then(|| "There is no flight yet.".to_owned()),
            some(
                standing.unpoured,
                "entry stands in no flight.",
                "entries stand in no flight.",
            ),
            some(
                standing.unseated,
                "flight has nobody at its table.",
                "flights have nobody at their tables.",
            ),
        ],
        Phase::Review => vec![
            some(
                standing.unpoured,
                "entry stands in no flight.",
                "entries stand in no flight.",
            ),
            some(
                standing.undone,
                "flight is not done.",
                "flights are not done.",
            ),
        ],
        Phase::Released => {
            vec![(!standing.reckoned).then(|| "The results are not reckoned yet.".to_owned())]
        }
        Phase::Archived => Vec::new(),
    };
    found.into_iter().flatten().collect()
}

fn opening(standing: &Standing, rules: &Rules) -> Vec<Option<String>> {
    let draws = rules.ties.contains(&Tie::Drawn);
    vec![
        (standing.categories == 0).then(|| "There is no category to enter in.".to_owned()),
        rules
            .sections
            .is_empty()
            .then(|| "The scoresheet has no section.".to_owned()),
        (draws && rules.draw_from.is_empty()).then(|| {
            "Ties may be drawn: say from which public number, before anybody enters.".to_owned()
        }),
    ]
}

fn closing(rules: &Rules, today: NaiveDate) -> Option<String> {
    let last: NaiveDate = rules.closes_on.as_deref()?.parse().ok()?;
    (today <= last).then(|| {
        format!(
            "One may enter until {}: close it the day after.",
            crate::web::dates::date(last)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    fn ready() -> Standing {
        Standing {
            categories: 3,
            entries: 9,
            flights: 2,
            reckoned: true,
            ..Standing::default()
        }
    }

    fn rules() -> Rules {
        Rules {
            draw_from: "the lottery of the Saturday after".to_owned(),
            closes_on: Some("2030-07-12".to_owned()),
            ..Rules::default()
        }
    }

    #[test]
    fn whoever_has_done_everything_may_go_on() {
        for next in Phase::ALL {
            let missing = missing(next, &ready(), &rules(), day("2030-07-13"));
            assert_eq!(missing, [""; 0], "{next:?}");
        }
    }

    #[test]
    fn each_thing_that_is_not_done_holds_its_phase_and_no_other() {
        type Change = fn(&mut Standing, &mut Rules);
        // What came late while it was judged stands in no flight either.
        let cases: [(&[Phase], Change); 11] = [
            (&[Phase::Open], |standing, _| standing.categories = 0),
            (&[Phase::Open], |_, rules| rules.sections.clear()),
            (&[Phase::Open], |_, rules| rules.draw_from.clear()),
            (&[Phase::Closed], |_, rules| {
                rules.closes_on = Some("2030-07-13".to_owned());
            }),
            (&[Phase::Received], |standing, _| standing.unreceived = 1),
            (&[Phase::Received], |standing, _| standing.unchecked = 2),
            (&[Phase::Judging], |standing, _| standing.flights = 0),
            (&[Phase::Judging, Phase::Review], |standing, _| {
                standing.unpoured = 1;
            }),
            (&[Phase::Judging], |standing, _| standing.unseated = 1),
            (&[Phase::Review], |standing, _| standing.undone = 1),
            (&[Phase::Released], |standing, _| standing.reckoned = false),
        ];
        for (held, change) in cases {
            let (mut standing, mut rules) = (ready(), rules());
            change(&mut standing, &mut rules);
            for next in Phase::ALL {
                let missing = missing(next, &standing, &rules, day("2030-07-13"));
                assert_eq!(
                    missing.len(),
                    usize::from(held.contains(&next)),
                    "{held:?} {next:?}"
                );
            }
        }
    }

    #[test]
    fn who_draws_nothing_needs_no_number() {
        let mut rules = rules();
        rules.draw_from.clear();
        rules.ties = vec![Tie::TastedAgain];
        let missing = missing(Phase::Open, &ready(), &rules, day("2030-07-13"));
        assert_eq!(missing, [""; 0]);
    }
}
