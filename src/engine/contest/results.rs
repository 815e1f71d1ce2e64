//! Results as a pure function of what is frozen: places in each flight by what its table agreed on, places in each category by its
//! only flight or by its final, the best of the show by the judges' orders. Points of different tables are never compared.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::frozen::{Flight, Inputs, Kind};
use super::rules::Tie;
use super::ties::{Evidence, Step, decide};

/// Up to this place prizes are given: what is shared there is worth a look.
pub const PRIZES: u32 = 3;

/// An entry at its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Placed {
    /// 1 is the best; who shares a place leaves the next ones empty.
    pub place: u32,
    pub code: String,
    /// Points agreed at its table; none where only the order counted.
    pub points: Option<u32>,
    /// Sum of the places that judges gave it, where orders counted.
    pub sum: Option<u32>,
}

/// Entries in their order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ranked {
    /// The flight that decided it.
    pub flight: u32,
    pub placed: Vec<Placed>,
    /// How places that were shared came apart, or did not.
    pub steps: Vec<Step>,
}

/// A category with its places.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OfCategory {
    pub number: u32,
    /// None until it is decided.
    pub ranked: Option<Ranked>,
    /// Entries of it that have no place in it, in alphabetical order.
    pub unplaced: Vec<String>,
}

/// What is not as it should be.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "open", rename_all = "snake_case")]
pub enum Open {
    /// An entry stands in no flight.
    NoFlight { code: String },
    /// A table has not agreed.
    NotAgreed { flight: u32 },
    /// A category of several flights has no final.
    NoFinal { category: u32 },
    /// It goes on to a final and was not poured there.
    NotInFinal { category: u32, code: String },
    /// A judge's order does not name each glass once: it does not count.
    OrderUnread { flight: u32 },
    /// A shared place among the first three that nobody tasted again, as the rules have it.
    NotTastedAgain { flight: u32, codes: Vec<String> },
    /// The public number of the draw is not known.
    NoNumber { flight: u32, codes: Vec<String> },
    /// There are several categories, and no best of the show.
    NoBest,
}

impl Open {
    /// Whether there are no results before it is mended; what does not hold them up is looked at.
    pub fn holds_up(&self) -> bool {
        match self {
            Open::NoFlight { .. } | Open::NotAgreed { .. } | Open::NoFinal { .. } => true,
            Open::NoNumber { .. } => true,
            Open::NotInFinal { .. } | Open::OrderUnread { .. } => false,
            Open::NotTastedAgain { .. } | Open::NoBest => false,
        }
    }
}

/// What comes out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Answer {
    pub categories: Vec<OfCategory>,
    pub best: Option<Ranked>,
    /// Places in each flight that has agreed, by its number: what an entry reads that did not go on.
    pub flights: Vec<Ranked>,
    pub open: Vec<Open>,
}

impl Answer {
    /// The place of an entry in its category.
    pub fn place_of(&self, code: &str) -> Option<&Placed> {
        let ranked = self.categories.iter().filter_map(|one| one.ranked.as_ref());
        ranked
            .flat_map(|ranked| &ranked.placed)
            .find(|placed| placed.code == code)
    }

    /// Its place among the best of the show.
    pub fn best_of(&self, code: &str) -> Option<&Placed> {
        let best = self.best.as_ref()?;
        best.placed.iter().find(|placed| placed.code == code)
    }

    /// Codes with a prize, in a category or as the best of the show: their makers are told to everybody.
    pub fn prized(&self) -> BTreeSet<&str> {
        let ranked = self.categories.iter().filter_map(|one| one.ranked.as_ref());
        let placed = ranked.chain(&self.best).flat_map(|ranked| &ranked.placed);
        placed
            .filter(|placed| placed.place <= PRIZES)
            .map(|placed| placed.code.as_str())
            .collect()
    }

    /// Whether something must be mended before there are results.
    pub fn is_held_up(&self) -> bool {
        self.open.iter().any(Open::holds_up)
    }
}

/// Reckons the results. The same inputs give the same answer, in whatever order their rows come.
pub fn reckon(inputs: &Inputs) -> Answer {
    let inputs = inputs.in_order();
    let mut open = BTreeSet::new();
    let ranked: BTreeMap<u32, Ranked> = inputs
        .flights
        .iter()
        .filter_map(|flight| Some((flight.number, places(flight, &inputs, &mut open)?)))
        .collect();
    let poured: BTreeSet<&String> = inputs.flights.iter().flat_map(|one| &one.codes).collect();
    let left = inputs
        .entries
        .iter()
        .filter(|one| !poured.contains(&one.code));
    open.extend(left.map(|one| Open::NoFlight {
        code: one.code.clone(),
    }));
    let categories: Vec<OfCategory> = inputs
        .categories
        .iter()
        .map(|category| of_category(category.number, &inputs, &ranked, &mut open))
        .collect();
    let best = inputs.flights.iter().find(|one| one.kind == Kind::Best);
    if best.is_none() && categories.len() > 1 {
        open.insert(Open::NoBest);
    }
    Answer {
        categories,
        best: best.and_then(|one| ranked.get(&one.number)).cloned(),
        flights: ranked.into_values().collect(),
        open: open.into_iter().collect(),
    }
}

/// The flight that decides a category: its final, or the only flight that it has.
fn deciding(number: u32, inputs: &Inputs) -> Option<&Flight> {
    let own = inputs.flights.iter();
    let own: Vec<&Flight> = own.filter(|one| one.category == Some(number)).collect();
    let last = own.iter().rev().find(|one| one.kind == Kind::Final);
    match (last, own.as_slice()) {
        (Some(last), _) => Some(*last),
        (None, [only]) => Some(*only),
        _ => None,
    }
}

/// Whether a shared place in it is one of the results: in a flight that leads to a final it is none.
fn decides(flight: &Flight, inputs: &Inputs) -> bool {
    let decided = flight.category.and_then(|number| deciding(number, inputs));
    flight.kind == Kind::Best || decided.is_some_and(|one| one.number == flight.number)
}

fn of_category(
    number: u32,
    inputs: &Inputs,
    ranked: &BTreeMap<u32, Ranked>,
    open: &mut BTreeSet<Open>,
) -> OfCategory {
    let of = |kind: Kind| {
        let own = move |flight: &&Flight| flight.kind == kind && flight.category == Some(number);
        inputs.flights.iter().filter(own).collect::<Vec<_>>()
    };
    let (firsts, last) = (of(Kind::First), of(Kind::Final).pop());
    let decides = deciding(number, inputs);
    if decides.is_none() && firsts.len() > 1 {
        open.insert(Open::NoFinal { category: number });
    }
    if let Some(last) = last {
        let going = firsts.iter().flat_map(|one| &one.agreed);
        let missing = going.filter(|one| one.goes_on && !last.codes.contains(&one.code));
        open.extend(missing.map(|one| Open::NotInFinal {
            category: number,
            code: one.code.clone(),
        }));
    }
    let found = decides
        .and_then(|flight| ranked.get(&flight.number))
        .cloned();
    let placed = found.iter().flat_map(|ranked| &ranked.placed);
    let placed: BTreeSet<&String> = placed.map(|one| &one.code).collect();
    let own = inputs.entries.iter().filter(|one| one.category == number);
    let unplaced = own
        .map(|one| &one.code)
        .filter(|code| !placed.contains(code));
    OfCategory {
        number,
        unplaced: unplaced.cloned().collect(),
        ranked: found.clone(),
    }
}

/// Entries that stand level, with what is known of each.
struct Level {
    codes: Vec<String>,
    sum: Option<u32>,
}

/// Places in one flight; `None` where its table has not agreed.
fn places(flight: &Flight, inputs: &Inputs, open: &mut BTreeSet<Open>) -> Option<Ranked> {
    let orders: Vec<&Vec<String>> = flight
        .orders
        .iter()
        .filter(|one| names_all(one, flight))
        .collect();
    if orders.len() < flight.orders.len() {
        open.insert(Open::OrderUnread {
            flight: flight.number,
        });
    }
    let by_order = flight.kind != Kind::First && !orders.is_empty();
    let levels = match by_order {
        true => by_orders(&flight.codes, &orders),
        false => by_agreement(flight),
    };
    if levels.is_empty() {
        open.insert(Open::NotAgreed {
            flight: flight.number,
        });
        return None;
    }
    let agreed = flight.agreed.iter();
    let points: BTreeMap<&String, u32> = agreed
        .filter_map(|one| Some((&one.code, one.points?)))
        .collect();
    let mut ranked = Ranked {
        flight: flight.number,
        ..Ranked::default()
    };
    let decides = decides(flight, inputs);
    let mut place = 1;
    for level in levels {
        let evidence = evidence(flight, inputs, (&orders, by_order), place);
        let (groups, steps) = decide(&level.codes, &inputs.ties, &evidence);
        if place <= PRIZES && decides {
            open.extend(steps.iter().filter(|step| step.lacking).filter_map(|step| {
                let (flight, codes) = (flight.number, step.codes.clone());
                match step.by {
                    Tie::TastedAgain => Some(Open::NotTastedAgain { flight, codes }),
                    Tie::Drawn => Some(Open::NoNumber { flight, codes }),
                    Tie::MoreFirsts | Tie::Taste => None,
                }
            }));
        }
        ranked.steps.extend(steps);
        for group in groups {
            let wide = u32::try_from(group.len()).unwrap_or(u32::MAX);
            ranked.placed.extend(group.into_iter().map(|code| Placed {
                place,
                points: points.get(&code).copied(),
                sum: level.sum,
                code,
            }));
            place = place.saturating_add(wide);
        }
    }
    Some(ranked)
}

/// Whether an order names each glass of the flight once.
fn names_all(order: &[String], flight: &Flight) -> bool {
    let named: BTreeSet<&String> = order.iter().collect();
    let poured: BTreeSet<&String> = flight.codes.iter().collect();
    named.len() == order.len() && named == poured
}

fn at(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

/// The lowest sum of places comes first.
fn by_orders(codes: &[String], orders: &[&Vec<String>]) -> Vec<Level> {
    let mut levels: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for code in codes {
        let places = orders
            .iter()
            .filter_map(|order| order.iter().position(|one| one == code));
        let sum = places.map(|place| at(place + 1)).sum();
        levels.entry(sum).or_default().push(code.clone());
    }
    let level = |(sum, codes)| Level {
        codes,
        sum: Some(sum),
    };
    levels.into_iter().map(level).collect()
}

/// By the places that the table agreed on; where it gave none at all, by its agreed points. What has neither has no place.
fn by_agreement(flight: &Flight) -> Vec<Level> {
    let poured = flight
        .agreed
        .iter()
        .filter(|one| flight.codes.contains(&one.code));
    let agreed: Vec<_> = poured.collect();
    let has_places = agreed.iter().any(|one| one.place.is_some());
    let mut levels: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for one in agreed {
        let key = match has_places {
            true => one.place,
            false => one.points.map(|points| u32::MAX - points),
        };
        if let Some(key) = key {
            levels.entry(key).or_default().push(one.code.clone());
        }
    }
    let levels = levels.into_values();
    levels.map(|codes| Level { codes, sum: None }).collect()
}

fn evidence(
    flight: &Flight,
    inputs: &Inputs,
    (orders, by_order): (&[&Vec<String>], bool),
    place: u32,
) -> Evidence {
    let again = flight.agreed.iter().filter(|one| one.tasted_again);
    let again = again.filter_map(|one| Some((one.code.clone(), one.place?)));
    let mut section: BTreeMap<String, (u32, u32)> = BTreeMap::new();
    let mut judges: BTreeMap<u32, BTreeMap<String, u32>> = BTreeMap::new();
    for mark in &flight.marks {
        let of = section.entry(mark.code.clone()).or_default();
        *of = (of.0.saturating_add(mark.section), of.1.saturating_add(1));
        // One judge's own points, at one table: the highest first.
        let own = judges.entry(mark.judge).or_default();
        own.insert(mark.code.clone(), u32::MAX - mark.total);
    }
    let by_orders = orders.iter().map(|order| {
        let places = order.iter().enumerate();
        places
            .map(|(place, code)| (code.clone(), at(place)))
            .collect()
    });
    Evidence {
        again: again.collect(),
        judges: match by_order {
            true => by_orders.collect(),
            false => judges.into_values().collect(),
        },
        section,
        number: inputs.drawn_number.clone(),
        about: format!("flight {}, place {place}", flight.number),
    }
}
