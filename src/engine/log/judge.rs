//! Gravities against each other: between two additions a gravity only falls, so of readings that contradict each other most are right.
//!
//! All rules: our judgement, no published source.

use super::entry::{Addition, Deed, Entry, What};
use super::start::Start;

/// Readings nearer than this may be one gravity: a hydrometer's mark and a little gas.
pub const SAME_SG: f64 = 0.002;
/// Hours after the mixing, or after an addition, in which honey may still lie at the bottom.
const LAYERED_H: f64 = 72.0;
/// Hours in which a later reading can show it: by then the yeast has stirred everything.
const SHOWN_H: f64 = 144.0;
/// How far above the plan a later reading may stand and still show that an earlier one was layered.
const ABOVE_PLAN_SG: f64 = 0.010;

/// What the other readings say about one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Verdict {
    /// Nothing against it.
    Sound,
    /// Too low, soon after the mixing or an addition: it was higher later.
    Layered { later_sg: f64 },
    /// Too low: it was higher later.
    TooLow { later_sg: f64 },
    /// Too high: it had been lower before.
    TooHigh { before_sg: f64 },
}

/// One gravity with its place in the log.
struct Read {
    index: usize,
    hours: f64,
    sg: f64,
}

/// A verdict for each entry, in their order; those without a gravity are sound.
pub(super) fn judge(start: &Start, entries: &[&Entry]) -> Vec<Verdict> {
    let mut verdicts = vec![Verdict::Sound; entries.len()];
    let mut segment = Segment {
        begun: 0.0,
        rises: (start.whole().state().sg - start.must.state().sg).max(0.0),
        plausible: Some(start.whole().state().sg + ABOVE_PLAN_SG)
            .filter(|_| start.must.mass_kg() > 0.0),
        reads: Vec::new(),
    };
    for (index, entry) in entries.iter().enumerate() {
        match &entry.deed {
            Deed::Addition(addition) if changes_gravity(addition) => {
                segment.judge(&mut verdicts);
                segment = Segment {
                    begun: entry.hours,
                    // Fruit gives its sugar for days: until then a gravity may rise.
                    rises: if addition.what == What::Fruit {
                        1.0
                    } else {
                        0.0
                    },
                    plausible: None,
                    reads: Vec::new(),
                };
            }
            deed => {
                if let Some(sg) = gravity(deed) {
                    segment.reads.push(Read {
                        index,
                        hours: entry.hours,
                        sg,
                    });
                }
            }
        }
    }
    segment.judge(&mut verdicts);
    verdicts
}

/// The gravity that an entry tells by a hydrometer.
pub(super) fn gravity(deed: &Deed) -> Option<f64> {
    match deed {
        Deed::Mixed(mixed) => mixed.sg,
        Deed::Reading(reading) => reading.sg,
        _ => None,
    }
}

/// Whether an addition brings so much that a gravity before it says nothing about one after it.
pub(super) fn changes_gravity(addition: &Addition) -> bool {
    let liquid = matches!(
        addition.what,
        What::Honey | What::Sugar | What::Fruit | What::Juice | What::Water | What::Mead
    );
    liquid || addition.composition.is_some()
}

/// The heaviest chain that ends within the first so many places, of equals the one that ended first: a tree of maxima (Fenwick 1994,
/// Software: Practice and Experience 24:327), for sensors tell thousands of gravities.
struct Heaviest(Vec<Option<(u32, usize)>>);

impl Heaviest {
    fn new(places: usize) -> Self {
        Heaviest(vec![None; places])
    }

    fn heavier(one: Option<(u32, usize)>, other: Option<(u32, usize)>) -> Option<(u32, usize)> {
        let chains = one.into_iter().chain(other);
        chains.max_by_key(|(total, index)| (*total, std::cmp::Reverse(*index)))
    }

    fn put(&mut self, place: usize, chain: (u32, usize)) {
        let mut at = place + 1;
        while let Some(most) = self.0.get_mut(at - 1) {
            *most = Heaviest::heavier(*most, Some(chain));
            at += at & at.wrapping_neg();
        }
    }

    fn among(&self, places: usize) -> Option<(u32, usize)> {
        let mut at = places.min(self.0.len());
        let mut found = None;
        while at > 0 {
            found = Heaviest::heavier(found, self.0.get(at - 1).copied().flatten());
            at &= at - 1;
        }
        found
    }
}

/// The readings between two additions.
struct Segment {
    begun: f64,
    /// By how much a gravity may rise while fruit gives its sugar.
    rises: f64,
    /// The most that a later reading may say of an earlier one, where that is known.
    plausible: Option<f64>,
    reads: Vec<Read>,
}

impl Segment {
    fn is_early(&self, read: &Read) -> bool {
        read.hours - self.begun <= LAYERED_H
    }

    /// Whether `later` may follow `before`.
    fn may_follow(&self, before: &Read, later: &Read) -> bool {
        later.sg <= self.most_after(before)
    }

    /// The highest gravity that may follow.
    fn most_after(&self, before: &Read) -> f64 {
        let out = super::vat::FRUIT_OUT_H;
        let fruit = if before.hours - self.begun < out {
            self.rises
        } else {
            0.0
        };
        before.sg + SAME_SG + fruit + 1e-9
    }

    /// Counts twice; once where it is early and a later one shows that it was layered.
    fn weight(&self, index: usize, read: &Read) -> u32 {
        let layered = |most: f64| {
            let after = self.reads.iter().skip(index + 1);
            let mut higher = after.filter(|later| !self.may_follow(read, later));
            higher.any(|later| later.sg <= most && later.hours - self.begun <= SHOWN_H)
        };
        match self.plausible {
            Some(most) if self.is_early(read) && layered(most) => 1,
            _ => 2,
        }
    }

    /// The heaviest chain of readings that follow each other; of equals the one that ends first.
    fn chain(&self) -> Vec<bool> {
        // Readings by what may follow them, the highest first: all that a reading may follow stand before a place.
        let mut order: Vec<(f64, usize)> = self
            .reads
            .iter()
            .map(|read| self.most_after(read))
            .zip(0..)
            .collect();
        order.sort_by(|one, other| other.0.total_cmp(&one.0));
        let mut places = vec![0; order.len()];
        for (place, (_, index)) in order.iter().enumerate() {
            if let Some(of) = places.get_mut(*index) {
                *of = place;
            }
        }
        let mut ends = Heaviest::new(order.len());
        let mut best: Vec<(u32, Option<usize>)> = Vec::with_capacity(self.reads.len());
        for ((index, read), place) in self.reads.iter().enumerate().zip(places) {
            let before = ends.among(order.partition_point(|(most, _)| *most >= read.sg));
            let total = before.map_or(0, |(total, _)| total) + self.weight(index, read);
            best.push((total, before.map(|(_, earlier)| earlier)));
            ends.put(place, (total, index));
        }
        let mut chosen = vec![false; self.reads.len()];
        let mut end: Option<(u32, usize)> = None;
        for (index, (total, _)) in best.iter().enumerate() {
            if end.is_none_or(|(most, _)| *total > most) {
                end = Some((*total, index));
            }
        }
        let mut at = end.map(|(_, index)| index);
        while let Some(index) = at {
            if let Some(mark) = chosen.get_mut(index) {
                *mark = true;
            }
            at = best.get(index).and_then(|(_, before)| *before);
        }
        chosen
    }

    fn judge(&self, verdicts: &mut [Verdict]) {
        let chosen = self.chain();
        let sound = || {
            self.reads
                .iter()
                .zip(&chosen)
                .enumerate()
                .filter(|(_, (_, chosen))| **chosen)
                .map(|(index, (read, _))| (index, read))
        };
        for (index, read) in self.reads.iter().enumerate() {
            if chosen.get(index) == Some(&true) {
                continue;
            }
            let mut later = sound().filter(|(other, _)| *other > index);
            let higher = later.find(|(_, other)| !self.may_follow(read, other));
            let mut before = sound().filter(|(other, _)| *other < index);
            let lower = before.rfind(|(_, other)| !self.may_follow(other, read));
            let verdict = match (higher, lower) {
                (Some((_, later)), _) if self.is_early(read) => {
                    Verdict::Layered { later_sg: later.sg }
                }
                (Some((_, later)), _) => Verdict::TooLow { later_sg: later.sg },
                (None, Some((_, before))) => Verdict::TooHigh {
                    before_sg: before.sg,
                },
                (None, None) => Verdict::Sound,
            };
            if let Some(place) = verdicts.get_mut(read.index) {
                *place = verdict;
            }
        }
    }
}
