//! Making the flights of a competition: glasses by the sizes of the rules, in their order, at tables that keep every rule.

use std::collections::BTreeMap;

use sqlx::PgConnection;

use super::conflicts::{self, Forbidden};
use super::model::{Flight, Judge, Kind, NewFlight};
use super::store;
use crate::competitions::entries::{self, Entry};
use crate::competitions::model::{CategoryId, Competition, CompetitionId, EntryId};
use crate::engine::contest::assign::{self, Plan, Why, Wish};
use crate::engine::contest::flights::{self, Glass, Sizes};
use crate::engine::contest::rules::Rules;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// What an organiser asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// Judges at a table.
    pub seats: usize,
    /// On how many days is judged.
    pub days: usize,
}

/// What came of it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Made {
    pub flights: usize,
    /// Numbers of flights that have no table, with the reason.
    pub left: Vec<(i32, Why)>,
}

/// Glasses that are to stand together.
struct Together {
    kind: Kind,
    category: Option<CategoryId>,
    entries: Vec<EntryId>,
}

/// Puts all that can be poured into flights, in place of those that were planned before.
pub async fn all(
    conn: &mut PgConnection,
    competition: &Competition,
    asked: Asked,
) -> Result<Made, Error> {
    store::clear(conn, competition.id).await?;
    let entries = entries::store::all(conn, competition.id).await?;
    let mut categories: BTreeMap<CategoryId, Vec<&Entry>> = BTreeMap::new();
    for entry in entries.iter().filter(|entry| entry.can_be_poured()) {
        categories.entry(entry.category).or_default().push(entry);
    }
    let sizes = Sizes::from(&competition.rules);
    let mut together = Vec::new();
    for category in crate::competitions::store::categories(conn, competition.id).await? {
        let own = categories.remove(&category.id).unwrap_or_default();
        together.extend(first_flights(category.id, &own, &sizes));
    }
    write(conn, competition, together, asked).await
}

/// The flights of one category.
fn first_flights(category: CategoryId, entries: &[&Entry], sizes: &Sizes) -> Vec<Together> {
    let glasses: Vec<Glass<'_>> = entries
        .iter()
        .map(|entry| Glass {
            code: &entry.code,
            declared: &entry.declared,
        })
        .collect();
    let made = flights::make(&glasses, sizes).into_iter();
    let flights = made.map(|flight| Together {
        kind: Kind::First,
        category: Some(category),
        entries: flight
            .into_iter()
            .filter_map(|at| entries.get(at).map(|entry| entry.id))
            .collect(),
    });
    flights.collect()
}

/// A final of a category, or the best of the show: these entries at one table, behind everything that is planned.
pub async fn last(
    conn: &mut PgConnection,
    competition: &Competition,
    (kind, category): (Kind, Option<CategoryId>),
    entries: &[&Entry],
    asked: Asked,
) -> Result<Made, Error> {
    let sizes = Sizes {
        least: 1,
        most: usize::MAX,
        strong: usize::MAX,
    };
    let of = category.unwrap_or(CategoryId(0));
    let together = first_flights(of, entries, &sizes)
        .into_iter()
        .map(|flight| Together {
            kind,
            category,
            ..flight
        });
    let together = together.collect();
    write(conn, competition, together, asked).await
}

/// Gives them tables and writes them down.
async fn write(
    conn: &mut PgConnection,
    competition: &Competition,
    together: Vec<Together>,
    asked: Asked,
) -> Result<Made, Error> {
    let forbidden = conflicts::forbidden(conn, competition.id).await?;
    let judges = store::judges(conn, competition.id).await?;
    let before = Before::read(conn, competition.id).await?;
    let plan = planned(
        competition,
        &together,
        (&judges, &forbidden, &before),
        asked,
    );
    let mut made = Made::default();
    let tables = plan.placed.into_iter().map(|placed| {
        let seats = placed.judges.iter().filter_map(|at| judges.get(*at));
        let seats: Vec<MemberId> = seats.map(|judge| judge.judge).collect();
        (placed.flight, (placed.day, placed.round), seats)
    });
    let without = plan
        .left
        .iter()
        .map(|(flight, _)| (*flight, before.from, Vec::new()));
    let all: Vec<_> = tables.chain(without).collect();
    for ((flight, (day, round), judges), number) in all.into_iter().zip(before.number..) {
        let Some(of) = together.get(flight) else {
            continue;
        };
        let new = NewFlight {
            kind: of.kind,
            category: of.category,
            number,
            day: whole(day),
            session: whole(round),
            entries: of.entries.clone(),
            judges,
        };
        store::add(conn, competition.id, &new).await?;
        made.flights += 1;
        let left = plan.left.iter().find(|(left, _)| *left == flight);
        made.left.extend(left.map(|(_, why)| (number, *why)));
    }
    Ok(made)
}

fn whole(number: usize) -> i32 {
    i32::try_from(number).unwrap_or(i32::MAX)
}

/// What is planned already: the first free number, day and round, and what judges are down for.
struct Before {
    number: i32,
    from: (usize, usize),
    down_for: BTreeMap<MemberId, Vec<usize>>,
}

impl Before {
    async fn read(conn: &mut PgConnection, competition: CompetitionId) -> Result<Before, Error> {
        let flights = store::list(conn, competition).await?;
        let glasses = store::glasses(conn, competition).await?;
        let tables = store::tables(conn, competition).await?;
        let mut down_for: BTreeMap<MemberId, Vec<usize>> = BTreeMap::new();
        for flight in &flights {
            let count = glasses.iter().filter(|(of, _)| *of == flight.id).count();
            let day = day_of(flight);
            for (_, seat) in tables.iter().filter(|(of, _)| *of == flight.id) {
                let days = down_for.entry(seat.judge).or_default();
                days.resize(days.len().max(day), 0);
                if let Some(glasses) = days.get_mut(day - 1) {
                    *glasses += count;
                }
            }
        }
        let last = flights
            .iter()
            .map(|flight| (flight.day, flight.session))
            .max();
        Ok(Before {
            number: flights
                .iter()
                .map(|flight| flight.number)
                .max()
                .unwrap_or(0)
                + 1,
            from: last.map_or((1, 1), |(day, round)| {
                (at_least_one(day), at_least_one(round) + 1)
            }),
            down_for,
        })
    }
}

fn at_least_one(number: i32) -> usize {
    usize::try_from(number).unwrap_or(1).max(1)
}

/// The day of a flight, from 1.
pub fn day_of(flight: &Flight) -> usize {
    at_least_one(flight.day)
}

/// The most glasses a day of a judge: the rule's, or fewer where they want fewer.
pub fn ceiling(judge: &Judge, rules: &Rules) -> usize {
    let own = judge.ceiling.and_then(|own| u32::try_from(own).ok());
    let most = own.map_or(rules.glasses_a_day, |own| own.min(rules.glasses_a_day));
    usize::try_from(most).unwrap_or(usize::MAX)
}

fn planned(
    competition: &Competition,
    together: &[Together],
    (judges, forbidden, before): (&[Judge], &Forbidden, &Before),
    asked: Asked,
) -> Plan {
    let roster: Vec<assign::Judge> = judges
        .iter()
        .map(|judge| assign::Judge {
            experienced: judge.experienced,
            ceiling: ceiling(judge, &competition.rules),
            down_for: before
                .down_for
                .get(&judge.judge)
                .cloned()
                .unwrap_or_default(),
        })
        .collect();
    let sizes: Vec<usize> = together.iter().map(|one| one.entries.len()).collect();
    let kept_apart = |judge: usize, flight: usize| match (judges.get(judge), together.get(flight)) {
        (Some(judge), Some(flight)) => forbidden.any(judge.judge, &flight.entries),
        _ => true,
    };
    let wish = Wish {
        seats: asked.seats,
        least: asked.seats.min(2),
        days: asked.days,
        from: before.from,
        seed: seed(competition.public_id.as_str()),
    };
    assign::assign(&roster, &sizes, &kept_apart, &wish)
}

/// A number from a text, the same for the same text: 64-bit FNV-1a (Fowler, Noll and Vo; constants from memory).
fn seed(text: &str) -> u64 {
    text.bytes().fold(0xCBF2_9CE4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01B3)
    })
}
