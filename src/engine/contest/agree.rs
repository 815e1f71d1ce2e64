//! What a table agrees on for the glasses of one flight: how far its judges lie apart, what they may settle on, and the places that
//! follow. Pure; which rule stands where is common practice, no published source.

use std::collections::BTreeMap;

use super::rules::Rules;
use super::sheet::{Agreed, AgreedEntry};

/// How far apart the totals of one entry lie, in points; none of fewer than two.
pub fn spread(totals: &[u32]) -> Option<u32> {
    let (least, most) = (totals.iter().min()?, totals.iter().max()?);
    (totals.len() > 1).then_some(most - least)
}

/// Whether the table must taste an entry again before it agrees.
pub fn must_taste_again(rules: &Rules, totals: &[u32]) -> bool {
    spread(totals).is_some_and(|apart| apart > rules.spread_most)
}

/// The mean of the totals in whole points, half a point up: what a table begins to talk from.
pub fn begin_from(totals: &[u32]) -> Option<u32> {
    let count = u32::try_from(totals.len())
        .ok()
        .filter(|count| *count > 0)?;
    let sum: u32 = totals.iter().sum();
    Some((2 * sum + count) / (2 * count))
}

/// One entry as the table settles it.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// The entry's code.
    pub code: String,
    /// Totals of the judges' signed sheets.
    pub totals: Vec<u32>,
    /// Points that the table agrees on.
    pub points: Option<u32>,
    /// Where it stands among those of equal points, 1 the best; none leaves them the place together.
    pub among_equals: Option<u32>,
    pub tasted_again: bool,
}

/// Why the table cannot agree on an entry like this.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// No points yet.
    NoPoints,
    /// More than the sheet gives.
    TooMany,
    /// The judges lie further apart than the rules let pass, and nobody tasted again.
    FarApart,
    /// Below every judge or above every one, and nobody tasted again.
    OutsideAll,
}

/// What speaks against an entry as it is settled; none if nothing does.
pub fn refused(rules: &Rules, entry: &Settled) -> Option<Refusal> {
    let Some(points) = entry.points else {
        return Some(Refusal::NoPoints);
    };
    if points > rules.most() {
        return Some(Refusal::TooMany);
    }
    if entry.tasted_again {
        return None;
    }
    let least = entry.totals.iter().min().copied().unwrap_or(0);
    let most = entry.totals.iter().max().copied().unwrap_or(rules.most());
    match must_taste_again(rules, &entry.totals) {
        true => Some(Refusal::FarApart),
        false if points < least || points > most => Some(Refusal::OutsideAll),
        false => None,
    }
}

/// The flight as agreed: places by points, among equal points as the table put them, and who goes on. Places are shared where
/// nothing tells entries apart: 1, 2, 2, 4.
pub fn agreed(rules: &Rules, entries: &[Settled]) -> Agreed {
    let better = |one: &Settled, other: &Settled| {
        let among = |entry: &Settled| entry.among_equals.unwrap_or(u32::MAX);
        one.points > other.points || (one.points == other.points && among(one) < among(other))
    };
    let of = |entry: &Settled| {
        let ahead = entries.iter().filter(|other| better(other, entry)).count();
        let place = u32::try_from(ahead).unwrap_or(u32::MAX).saturating_add(1);
        AgreedEntry {
            code: entry.code.clone(),
            points: entry.points,
            place: Some(place),
            goes_on: place <= rules.go_on,
            spread: spread(&entry.totals),
            tasted_again: entry.tasted_again,
        }
    };
    let mut placed: Vec<AgreedEntry> = entries.iter().map(of).collect();
    placed.sort_by(|one, other| (one.place, &one.code).cmp(&(other.place, &other.code)));
    Agreed {
        entries: placed,
        orders: Vec::new(),
    }
}

/// How orders put codes: the sum of the places that judges gave each, and a place behind all where an order leaves it out.
fn ranks(code: &String, codes: &[String], orders: &[Vec<String>]) -> usize {
    let rank = |order: &Vec<String>| order.iter().position(|one| one == code);
    orders
        .iter()
        .map(|order| rank(order).unwrap_or(codes.len()))
        .sum()
}

/// Groups of codes that the orders leave level, the best first: what a table may taste again.
pub fn level(codes: &[String], orders: &[Vec<String>]) -> Vec<Vec<String>> {
    let mut groups: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for code in codes {
        let sum = ranks(code, codes, orders);
        groups.entry(sum).or_default().push(code.clone());
    }
    groups
        .into_values()
        .filter(|group| group.len() > 1)
        .collect()
}

/// A final as agreed from each judge's order of codes, the best first: fewest ranks in all comes first. Codes that are level then may
/// have been tasted again: `again` has the place among them that each of a group got, 1 the best. Equal ones share the place; what
/// decides between them is a tie rule of the results, which reads the orders. Winners go on to the best of show.
pub fn agreed_by_orders(
    codes: &[String],
    orders: &[Vec<String>],
    again: &BTreeMap<String, u32>,
) -> Agreed {
    let key = |code: &String| {
        let among = again.get(code).copied().unwrap_or(u32::MAX);
        (ranks(code, codes, orders), among)
    };
    let of = |code: &String| {
        let ahead = codes.iter().filter(|other| key(other) < key(code));
        let place = u32::try_from(ahead.count())
            .unwrap_or(u32::MAX)
            .saturating_add(1);
        AgreedEntry {
            code: code.clone(),
            points: None,
            place: Some(place),
            goes_on: place == 1,
            spread: None,
            tasted_again: again.contains_key(code),
        }
    };
    let mut placed: Vec<AgreedEntry> = codes.iter().map(of).collect();
    placed.sort_by(|one, other| (one.place, &one.code).cmp(&(other.place, &other.code)));
    Agreed {
        entries: placed,
        orders: orders.to_vec(),
    }
}
