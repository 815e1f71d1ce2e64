//! Entries that share a place: the steps of the rules, asked one after another, until each stands alone or nothing is left to ask.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::draw;
use super::rules::Tie;

/// What the steps go by. Codes that stand in none of it are simply not told apart by it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Places after tasting again, of those that were tasted again.
    pub again: BTreeMap<String, u32>,
    /// Of each judge how each entry stood: the lowest number is the best.
    pub judges: Vec<BTreeMap<String, u32>>,
    /// Of each entry the sum of points of one section, and from how many judges.
    pub section: BTreeMap<String, (u32, u32)>,
    /// The public number, once it is known.
    pub number: Option<String>,
    /// Where they share: a flight and a place, by which one draw differs from another.
    pub about: String,
}

/// A step that told entries apart, or could not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    /// Where they shared: a flight and a place.
    pub about: String,
    pub by: Tie,
    /// Who shared, in alphabetical order.
    pub codes: Vec<String>,
    /// How they stand after it, the best first; one group: it told nobody apart.
    pub groups: Vec<Vec<String>>,
    /// It could not be asked yet: nobody tasted again, or the number is not known.
    pub lacking: bool,
}

/// Puts entries that share a place into an order, the best first; a group of several shares for good. Each group that a step leaves
/// goes on with the next step. The same whatever order the codes come in.
pub fn decide(
    codes: &[String],
    ties: &[Tie],
    evidence: &Evidence,
) -> (Vec<Vec<String>>, Vec<Step>) {
    let codes: BTreeSet<&String> = codes.iter().collect();
    let codes: Vec<String> = codes.into_iter().cloned().collect();
    let (Some((by, later)), true) = (ties.split_first(), codes.len() > 1) else {
        return (vec![codes], Vec::new());
    };
    let split = told_apart(&codes, *by, evidence);
    let groups = split.clone().unwrap_or_else(|| vec![codes.clone()]);
    let mut steps = vec![Step {
        about: evidence.about.clone(),
        by: *by,
        codes,
        groups: groups.clone(),
        lacking: split.is_none(),
    }];
    let mut order = Vec::new();
    for group in groups {
        let (inner, more) = decide(&group, later, evidence);
        order.extend(inner);
        steps.extend(more);
    }
    (order, steps)
}

/// `None` where the step cannot be asked.
fn told_apart(codes: &[String], by: Tie, evidence: &Evidence) -> Option<Vec<Vec<String>>> {
    match by {
        Tie::TastedAgain => {
            let places: Option<Vec<u32>> = codes
                .iter()
                .map(|code| evidence.again.get(code).copied())
                .collect();
            Some(grouped(codes, &places?))
        }
        Tie::MoreFirsts => {
            let firsts: Vec<u32> = codes
                .iter()
                .map(|code| firsts(code, codes, evidence))
                .collect();
            Some(most_first(codes, &firsts))
        }
        Tie::Taste => {
            // Means are compared over the product of all counts, so that nothing is rounded.
            let points: Option<Vec<(u32, u32)>> = codes
                .iter()
                .map(|code| {
                    evidence
                        .section
                        .get(code)
                        .copied()
                        .filter(|(_, of)| *of > 0)
                })
                .collect();
            let Some(points) = points else {
                return Some(vec![codes.to_vec()]);
            };
            let rank = |(sum, of): (u32, u32)| {
                let better = points.iter().filter(|(other, count)| {
                    u64::from(*other) * u64::from(of) > u64::from(sum) * u64::from(*count)
                });
                u32::try_from(better.count()).unwrap_or(u32::MAX)
            };
            let ranks: Vec<u32> = points.iter().map(|one| rank(*one)).collect();
            Some(grouped(codes, &ranks))
        }
        Tie::Drawn => {
            let number = evidence.number.as_deref()?;
            let rounds = draw::rounds(number, &evidence.about, codes);
            let drawn: Vec<Vec<String>> =
                rounds.into_iter().map(|round| vec![round.code]).collect();
            (drawn.len() == codes.len()).then_some(drawn)
        }
    }
}

/// How many judges put it before all others of those that share. A judge who did not taste all of them, or put two of them level
/// in front, has no first among them.
fn firsts(code: &str, among: &[String], evidence: &Evidence) -> u32 {
    let is_first = |judge: &&BTreeMap<String, u32>| {
        let Some(own) = judge.get(code) else {
            return false;
        };
        among
            .iter()
            .filter(|other| other.as_str() != code)
            .all(|other| judge.get(other).is_some_and(|place| own < place))
    };
    u32::try_from(evidence.judges.iter().filter(is_first).count()).unwrap_or(u32::MAX)
}

/// Groups by a number each, the lowest first.
fn grouped(codes: &[String], numbers: &[u32]) -> Vec<Vec<String>> {
    let mut groups: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for (code, number) in codes.iter().zip(numbers) {
        groups.entry(*number).or_default().push(code.clone());
    }
    groups.into_values().collect()
}

/// Groups by a number each, the highest first.
fn most_first(codes: &[String], numbers: &[u32]) -> Vec<Vec<String>> {
    let mut groups = grouped(codes, numbers);
    groups.reverse();
    groups
}
