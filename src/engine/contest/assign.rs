//! Who tastes which flight, and when: nobody meets an entry that they must not judge, nobody tastes more glasses a day than they
//! want, one experienced judge sits at every table, and the glasses are shared out evenly.

use super::seating::{Sitting, may_sit};
use crate::engine::senses::shuffle::Chance;

/// A judge of the roster; whoever asks knows them by their place in the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judge {
    pub experienced: bool,
    /// Glasses that they taste in a day at most.
    pub ceiling: usize,
    /// Glasses of each day, from the first, that they are down for already.
    pub down_for: Vec<usize>,
}

/// What is asked of the whole plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// Judges at a table, and the fewest with which one is opened where there are not so many.
    pub seats: usize,
    pub least: usize,
    /// On how many days is tasted.
    pub days: usize,
    /// The first day and its first round that are free, from 1.
    pub from: (usize, usize),
    /// The same seed gives the same plan.
    pub seed: u64,
}

/// A flight with its day, its round within the day, and its table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    pub flight: usize,
    pub day: usize,
    pub round: usize,
    /// The first of them is experienced and leads.
    pub judges: Vec<usize>,
}

/// Why a flight has no table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Too few judges may taste it.
    TooFew,
    /// None of those who may taste it is experienced.
    NobodyExperienced,
    /// Those who may taste it have reached their ceilings on every day.
    Ceilings,
}

/// What came of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// In the order of days and rounds.
    pub placed: Vec<Placed>,
    pub left: Vec<(usize, Why)>,
}

/// How often it is tried from another order of chance; the best is taken.
const TRIES: u64 = 48;
/// The most rounds of a day.
const ROUNDS: usize = 30;

/// Places flights of so many glasses each. `forbidden` says whether a judge must not sit at a flight. What is placed keeps every
/// rule; what cannot be is left with the reason.
pub fn assign(
    judges: &[Judge],
    flights: &[usize],
    forbidden: &dyn Fn(usize, usize) -> bool,
    wish: &Wish,
) -> Plan {
    let tries = (0..TRIES).map(|shift| {
        let mut work = Work::new(judges, flights, forbidden, wish);
        work.run(&mut Chance::of(wish.seed.wrapping_add(shift)));
        work
    });
    let best = tries.min_by_key(Work::cost);
    best.map(Work::plan).unwrap_or_default()
}

/// One try.
struct Work<'a> {
    judges: &'a [Judge],
    flights: &'a [usize],
    forbidden: &'a dyn Fn(usize, usize) -> bool,
    wish: &'a Wish,
    placed: Vec<Placed>,
    /// Flights without a table.
    open: Vec<usize>,
}

impl<'a> Work<'a> {
    fn new(
        judges: &'a [Judge],
        flights: &'a [usize],
        forbidden: &'a dyn Fn(usize, usize) -> bool,
        wish: &'a Wish,
    ) -> Work<'a> {
        Work {
            judges,
            flights,
            forbidden,
            wish,
            placed: Vec::new(),
            open: (0..flights.len()).collect(),
        }
    }

    /// Glasses of a judge: on a day, and on all of them.
    fn load(&self, judge: usize, day: Option<usize>) -> usize {
        let before = self.judges.get(judge).map_or(0, |one| match day {
            Some(day) => day
                .checked_sub(1)
                .and_then(|at| one.down_for.get(at).copied())
                .unwrap_or(0),
            None => one.down_for.iter().sum(),
        });
        let here = self
            .placed
            .iter()
            .filter(|placed| day.is_none_or(|day| placed.day == day))
            .filter(|placed| placed.judges.contains(&judge));
        before
            + here
                .map(|placed| self.glasses(placed.flight))
                .sum::<usize>()
    }

    fn glasses(&self, flight: usize) -> usize {
        self.flights.get(flight).copied().unwrap_or(0)
    }

    /// Whether a judge can take this seat, as things stand.
    fn can_sit(&self, judge: usize, flight: usize, (day, round): (usize, usize)) -> bool {
        let busy = self.placed.iter().any(|placed| {
            (placed.day, placed.round) == (day, round) && placed.judges.contains(&judge)
        });
        let sitting = Sitting {
            forbidden: (self.forbidden)(judge, flight),
            busy,
            tasted: self.load(judge, Some(day)),
            glasses: self.glasses(flight),
            ceiling: self.judges.get(judge).map_or(0, |one| one.ceiling),
        };
        may_sit(&sitting).is_ok()
    }

    fn is_experienced(&self, judge: usize) -> bool {
        self.judges.get(judge).is_some_and(|one| one.experienced)
    }

    fn run(&mut self, chance: &mut Chance) {
        let mut names: Vec<usize> = (0..self.judges.len()).collect();
        chance.shuffle(&mut names);
        chance.shuffle(&mut self.open);
        // Flights that few may taste choose first.
        let may = |flight: &usize| {
            let judges = 0..self.judges.len();
            judges
                .filter(|judge| !(self.forbidden)(*judge, *flight))
                .count()
        };
        let mut open = std::mem::take(&mut self.open);
        open.sort_by_key(may);
        self.open = open;
        self.fill_all(&names);
        // What evens out may make room.
        while self.even_out() && !self.open.is_empty() {
            let before = self.open.len();
            self.fill_all(&names);
            if self.open.len() == before {
                break;
            }
        }
    }

    /// Full tables first, on every day, round after round; then smaller ones.
    fn fill_all(&mut self, names: &[usize]) {
        let (first_day, first_round) = self.wish.from;
        for seats in (self.wish.least.min(self.wish.seats)..=self.wish.seats).rev() {
            for day in first_day..=self.wish.days.max(first_day) {
                let first = if day == first_day { first_round } else { 1 };
                for round in first..=ROUNDS {
                    if self.open.is_empty() || !self.fill((day, round), seats, names) {
                        break;
                    }
                }
            }
        }
    }

    /// Gives tables to as many open flights as this round holds; whether it holds any, from now or before.
    fn fill(&mut self, at: (usize, usize), seats: usize, names: &[usize]) -> bool {
        let open = std::mem::take(&mut self.open);
        for flight in open {
            match self.table(flight, at, seats, names) {
                Some(judges) => self.placed.push(Placed {
                    flight,
                    day: at.0,
                    round: at.1,
                    judges,
                }),
                None => self.open.push(flight),
            }
        }
        self.placed
            .iter()
            .any(|placed| (placed.day, placed.round) == at)
    }

    /// So many judges for a flight, the leading one first: those with the fewest glasses, the experienced kept for other tables.
    fn table(
        &self,
        flight: usize,
        at: (usize, usize),
        seats: usize,
        names: &[usize],
    ) -> Option<Vec<usize>> {
        let mut free: Vec<usize> = names
            .iter()
            .copied()
            .filter(|judge| self.can_sit(*judge, flight, at))
            .collect();
        free.sort_by_key(|judge| (self.load(*judge, Some(at.0)), self.load(*judge, None)));
        let leader = *free.iter().find(|judge| self.is_experienced(**judge))?;
        free.retain(|judge| *judge != leader);
        free.sort_by_key(|judge| self.is_experienced(*judge));
        let rest = free.into_iter().take(seats.saturating_sub(1));
        let table: Vec<usize> = std::iter::once(leader).chain(rest).collect();
        (table.len() == seats.max(1)).then_some(table)
    }

    /// Hands seats from whoever tastes much to whoever tastes little, as long as that evens out; whether it did.
    fn even_out(&mut self) -> bool {
        let most = self.placed.len() * self.judges.len();
        let steps = (0..most).take_while(|_| self.hand_over()).count();
        steps > 0
    }

    fn hand_over(&mut self) -> bool {
        let loads: Vec<usize> = (0..self.judges.len())
            .map(|judge| self.load(judge, None))
            .collect();
        let load = |judge: usize| loads.get(judge).copied().unwrap_or(0);
        for at in 0..self.placed.len() {
            let Some(placed) = self.placed.get(at).cloned() else {
                continue;
            };
            let glasses = self.glasses(placed.flight);
            for (seat, much) in placed.judges.iter().enumerate() {
                let led = seat == 0;
                let better = (0..self.judges.len()).find(|little| {
                    load(*little) + glasses < load(*much)
                        && !placed.judges.contains(little)
                        && (!led || self.is_experienced(*little))
                        && self.can_sit(*little, placed.flight, (placed.day, placed.round))
                });
                if let Some(little) = better {
                    if let Some(table) = self.placed.get_mut(at)
                        && let Some(taken) = table.judges.get_mut(seat)
                    {
                        *taken = little;
                    }
                    return true;
                }
            }
        }
        false
    }

    /// What is worse about this try: flights left, seats left, rounds, unevenness.
    fn cost(&self) -> (usize, usize, usize, usize) {
        let seats: usize = self.placed.iter().map(|placed| placed.judges.len()).sum();
        let rounds = self
            .placed
            .iter()
            .map(|placed| (placed.day, placed.round))
            .collect::<std::collections::BTreeSet<_>>();
        let squares = (0..self.judges.len()).map(|judge| self.load(judge, None).pow(2));
        (
            self.open.len(),
            (self.flights.len() * self.wish.seats).saturating_sub(seats),
            rounds.len(),
            squares.sum(),
        )
    }

    fn why(&self, flight: usize) -> Why {
        let may: Vec<usize> = (0..self.judges.len())
            .filter(|judge| !(self.forbidden)(*judge, flight))
            .collect();
        match () {
            () if may.len() < self.wish.least.min(self.wish.seats).max(1) => Why::TooFew,
            () if !may.iter().any(|judge| self.is_experienced(*judge)) => Why::NobodyExperienced,
            () => Why::Ceilings,
        }
    }

    fn plan(self) -> Plan {
        let left = self.open.iter().map(|flight| (*flight, self.why(*flight)));
        let mut left: Vec<(usize, Why)> = left.collect();
        left.sort_by_key(|(flight, _)| *flight);
        let mut placed = self.placed;
        placed.sort_by_key(|one| (one.day, one.round, one.flight));
        Plan { placed, left }
    }
}
