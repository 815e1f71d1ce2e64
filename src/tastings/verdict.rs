//! What a triangle or a ranking says, in plain words: what was found, how far luck goes, and what it does not show.

use super::model::{ALPHA, Answer, Pick, Pour};
use crate::engine::senses::ranking::{Ranking, weigh};
use crate::engine::triangle::{critical_number, p_value, power};
use crate::web::units::plain;

/// Parts of all people who really can tell, for which it is said what a panel would notice.
const CAN_TELL: [f64; 2] = [0.3, 0.5];

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Verdict {
    /// The answer in two or three words.
    pub lead: String,
    /// What it rests on.
    pub lines: Vec<String>,
    /// Of each mead its name and its sum of ranks, the first first; empty for a triangle.
    pub order: Vec<(String, String)>,
}

/// "once in 260 tastings (p = 0.0038)", "in 21 of 100 tastings (p = 0.21)".
fn chance(p: f64) -> String {
    let often = match p {
        p if p < 0.000_1 => "in fewer than one of 10,000 tastings".to_owned(),
        p if p < 0.1 => format!("once in {} tastings", plain(1.0 / p, 0)),
        p => format!("in {} of 100 tastings", plain(100.0 * p, 0)),
    };
    match p {
        p if p < 0.000_1 => format!("{often} (p below 0.0001)"),
        p => format!("{often} (p = {})", plain(p, 4)),
    }
}

/// What so many tasters of a triangle would notice.
pub fn noticed(tasters: u32) -> String {
    let told = CAN_TELL.into_iter().filter_map(|part| {
        let power = power(tasters, ALPHA, part)?;
        let (of, noticed) = (plain(100.0 * part, 0), plain(100.0 * power, 0));
        Some(format!(
            "where {of} of 100 people really can tell, in {noticed} of 100 such tastings"
        ))
    });
    let told: Vec<String> = told.collect();
    match told.is_empty() {
        true => "With so few tasters nothing can be noticed: even if all are right, that is too often luck.".to_owned(),
        false => format!(
            "With {tasters} tasters a difference is noticed {}.",
            told.join("; ")
        ),
    }
}

/// How many right picks so many tasters need.
pub fn needed(tasters: u32) -> String {
    match critical_number(tasters, ALPHA) {
        Some(needed) => format!(
            "{needed} of {tasters} must pick the odd glass before luck is ruled out (at 5 in 100: common practice, no published source)."
        ),
        None => format!("Even {tasters} right picks of {tasters} would be luck too often."),
    }
}

/// Whether a panel tells two meads apart.
pub fn triangle(answers: &[Answer]) -> Verdict {
    let right = |answer: &Answer| {
        let odd = answer.serving.as_ref()?.odd()?;
        match answer.pick {
            Some(Pick::Odd(picked)) => Some(picked == odd),
            _ => None,
        }
    };
    let picks: Vec<bool> = answers.iter().filter_map(right).collect();
    let panel = u32::try_from(picks.len()).unwrap_or(0);
    let correct = u32::try_from(picks.iter().filter(|right| **right).count()).unwrap_or(0);
    let Some(p) = p_value(panel, correct).filter(|_| panel > 0) else {
        return nobody();
    };
    let found = format!("{correct} of {panel} picked the odd glass.");
    let luck = format!(
        "If nobody could tell, as many or more would be right {}.",
        chance(p)
    );
    let told = critical_number(panel, ALPHA).is_some_and(|needed| correct >= needed);
    match told {
        true => Verdict {
            lead: "They can be told apart".to_owned(),
            lines: vec![
                found,
                needed(panel),
                luck,
                "That says that there is a difference, not which is better.".to_owned(),
            ],
            order: Vec::new(),
        },
        false => Verdict {
            lead: "Cannot tell".to_owned(),
            lines: vec![
                found,
                needed(panel),
                luck,
                format!(
                    "That does not show that the two are alike. {}",
                    noticed(panel)
                ),
            ],
            order: Vec::new(),
        },
    }
}

fn nobody() -> Verdict {
    Verdict {
        lead: "Nobody answered".to_owned(),
        ..Verdict::default()
    }
}

/// The places of the meads, in the order of pouring, as one taster gave them.
fn places(answer: &Answer, pours: &[Pour]) -> Option<Vec<u32>> {
    let serving = answer.serving.as_ref()?;
    let Some(Pick::Places(places)) = &answer.pick else {
        return None;
    };
    pours
        .iter()
        .map(|pour| {
            let (code, _) = serving
                .glasses
                .iter()
                .find(|(_, mead)| *mead == pour.place)?;
            let (_, place) = places.iter().find(|(of, _)| of == code)?;
            Some(*place)
        })
        .collect()
}

/// What one taster picked, in words; `None` for somebody who picked nothing.
pub fn picked(answer: &Answer, pours: &[Pour]) -> Option<String> {
    match answer.pick.as_ref()? {
        Pick::Odd(code) => {
            let odd = answer.serving.as_ref()?.odd()?;
            Some(match *code == odd {
                true => format!("picked {code}, the odd glass"),
                false => format!("picked {code}; the odd glass was {odd}"),
            })
        }
        Pick::Places(_) => {
            let places = places(answer, pours)?;
            let mut order: Vec<(u32, &str)> = places
                .into_iter()
                .zip(pours.iter().map(|pour| pour.name.as_str()))
                .collect();
            order.sort_unstable();
            let told = order.iter().map(|(place, name)| format!("{place}: {name}"));
            Some(told.collect::<Vec<_>>().join("; "))
        }
    }
}

/// Whether a panel agrees on an order.
pub fn ranking(pours: &[Pour], answers: &[Answer]) -> Verdict {
    let all = answers.iter().filter_map(|answer| places(answer, pours));
    let all: Vec<Vec<u32>> = all.collect();
    let Some(found) = weigh(&all) else {
        let few = match all.is_empty() {
            true => return nobody(),
            false => "One order alone says nothing of what others would find.",
        };
        return Verdict {
            lead: "Cannot tell".to_owned(),
            lines: vec![few.to_owned()],
            order: Vec::new(),
        };
    };
    let mut order: Vec<(&Pour, f64)> = pours.iter().zip(found.sums.iter().copied()).collect();
    order.sort_by(|(_, one), (_, other)| one.total_cmp(other));
    let told = found.p_value <= ALPHA;
    Verdict {
        lead: match told {
            true => "They differ".to_owned(),
            false => "Cannot tell".to_owned(),
        },
        lines: lines(&found, &order, all.len()),
        order: order
            .iter()
            .map(|(pour, sum)| (pour.name.clone(), plain(*sum, 1)))
            .collect(),
    }
}

fn lines(found: &Ranking, order: &[(&Pour, f64)], tasters: usize) -> Vec<String> {
    let luck = format!(
        "{tasters} put them in order. If they could not tell, orders that agree as well or better would come about {}{}.",
        chance(found.p_value),
        match found.exact {
            true => "",
            false => ", nearly",
        }
    );
    if found.p_value > ALPHA {
        let honest =
            "That does not show that they are alike: more tasters may find what these did not.";
        return vec![luck, honest.to_owned()];
    }
    let apart = order.iter().enumerate().flat_map(|(at, (one, low))| {
        let later = order.iter().skip(at + 1);
        later
            .filter(move |(_, high)| high - low >= found.least_difference)
            .map(move |(other, _)| format!("{} before {}", one.name, other.name))
    });
    let apart: Vec<String> = apart.collect();
    let least = plain(found.least_difference, 1);
    let pairs = match apart.is_empty() {
        true => format!(
            "As a whole they differ, and of no two alone it can be said: their sums would have to lie {least} apart."
        ),
        false => format!(
            "Sums that lie {least} or more apart tell two from each other: {}. Of all other pairs nothing can be said.",
            apart.join("; ")
        ),
    };
    vec![luck, pairs]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tastings::model::Serving;

    fn pour(place: i32) -> Pour {
        Pour {
            place,
            batch: None,
            name: format!("mead {place}"),
            code: None,
            allergens: Vec::new(),
        }
    }

    fn answer(glasses: Vec<(i32, i32)>, pick: Pick) -> Answer {
        Answer {
            by: "Ada".to_owned(),
            serving: Some(Serving { number: 1, glasses }),
            pick: Some(pick),
            said: Vec::new(),
            said_at: Vec::new(),
        }
    }

    fn picks(right: usize, wrong: usize) -> Verdict {
        let glasses = vec![(111, 1), (222, 2), (333, 1)];
        let picks = std::iter::repeat_n(222, right).chain(std::iter::repeat_n(111, wrong));
        let answers: Vec<Answer> = picks
            .map(|code| answer(glasses.clone(), Pick::Odd(code)))
            .collect();
        triangle(&answers)
    }

    #[test]
    fn twelve_tasters_need_eight() {
        assert_eq!(picks(8, 4).lead, "They can be told apart");
        let seven = picks(7, 5);
        assert_eq!(seven.lead, "Cannot tell");
        assert!(seven.lines[1].starts_with("8 of 12 must pick"), "{seven:?}");
        assert!(
            seven.lines[3].starts_with("That does not show"),
            "{seven:?}"
        );
        assert_eq!(picks(0, 0).lead, "Nobody answered");
        assert_eq!(picks(2, 0).lead, "Cannot tell");
    }

    #[test]
    fn what_a_panel_would_notice() {
        assert!(noticed(30).contains("30 of 100 people really can tell, in 71 of 100"));
        assert!(noticed(2).starts_with("With so few"));
    }

    fn ranked(orders: &[[u32; 3]]) -> Verdict {
        let glasses = vec![(111, 3), (222, 1), (333, 2)];
        let answers: Vec<Answer> = orders
            .iter()
            .map(|[one, two, three]| {
                let places = vec![(111, *three), (222, *one), (333, *two)];
                answer(glasses.clone(), Pick::Places(places))
            })
            .collect();
        ranking(&[pour(1), pour(2), pour(3)], &answers)
    }

    #[test]
    fn codes_lead_back_to_the_meads() {
        let agreed = ranked(&[[1, 2, 3]; 8]);
        assert_eq!(agreed.lead, "They differ");
        let names: Vec<&str> = agreed.order.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["mead 1", "mead 2", "mead 3"]);
        assert!(
            agreed.lines[1].contains("mead 1 before mead 3"),
            "{agreed:?}"
        );
        let torn = ranked(&[[1, 2, 3], [3, 2, 1], [2, 1, 3], [1, 3, 2]]);
        assert_eq!(torn.lead, "Cannot tell");
        assert_eq!(ranked(&[[1, 2, 3]]).lead, "Cannot tell");
        assert_eq!(ranked(&[]).lead, "Nobody answered");
    }
}
