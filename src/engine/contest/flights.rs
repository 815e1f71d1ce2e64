//! How many flights a category takes, and which glasses go into which.

use super::declared::Declared;
use super::order::{Poured, compare};
use super::rules::Rules;

/// How large flights may be: glasses at least and at most, and of strong ones at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sizes {
    pub least: usize,
    pub most: usize,
    pub strong: usize,
}

impl From<&Rules> for Sizes {
    fn from(rules: &Rules) -> Sizes {
        let of = |number: u32| usize::try_from(number).unwrap_or(usize::MAX);
        Sizes {
            least: of(rules.flight_least),
            most: of(rules.flight_most),
            strong: of(rules.flight_strong),
        }
    }
}

/// What is to be poured: whoever asks knows it by its place in the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Glass<'a> {
    /// Random, and so a fair last word between glasses that are alike.
    pub code: &'a str,
    pub declared: &'a Declared,
}

/// Whether a flight keeps to the sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// More glasses than the rule allows.
    TooMany { glasses: usize, most: usize },
    /// More strong ones than the rule allows.
    TooManyStrong { strong: usize, most: usize },
}

/// How many flights so many glasses take, of which so many are strong: as few as the upper bounds allow. Zero for no glass.
pub fn count(glasses: usize, strong: usize, sizes: &Sizes) -> usize {
    if glasses == 0 {
        return 0;
    }
    let by_all = glasses.div_ceil(sizes.most.max(1));
    let by_strong = strong.div_ceil(sizes.strong.max(1));
    by_all.max(by_strong).max(1)
}

/// Places in the list, flight by flight, each in the order of pouring.
///
/// Upper bounds always hold. The lower one holds wherever as many flights can hold it: nine glasses become five and four, since
/// eight are the most. Sizes differ by one at most. Every flight gets its share of each sort (glasses are dealt one by one in
/// the order of pouring, strong ones first, on from where the last one went), so that no table has all the sweet ones.
pub fn make(glasses: &[Glass<'_>], sizes: &Sizes) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..glasses.len()).collect();
    order.sort_by(|one, other| by_pouring(glasses, *one, *other));
    let is_strong = |at: &usize| {
        glasses
            .get(*at)
            .is_some_and(|glass| glass.declared.is_strong())
    };
    let (strong, others): (Vec<usize>, Vec<usize>) = order.into_iter().partition(is_strong);
    let flights = count(glasses.len(), strong.len(), sizes);
    let mut made: Vec<Vec<usize>> = vec![Vec::new(); flights];
    for (turn, at) in strong.into_iter().chain(others).enumerate() {
        if let Some(flight) = made.get_mut(turn % flights) {
            flight.push(at);
        }
    }
    for flight in &mut made {
        flight.sort_by(|one, other| by_pouring(glasses, *one, *other));
    }
    made
}

fn by_pouring(glasses: &[Glass<'_>], one: usize, other: usize) -> std::cmp::Ordering {
    match (glasses.get(one), glasses.get(other)) {
        (Some(one), Some(other)) => {
            compare(&Poured::from(one.declared), &Poured::from(other.declared))
                .then_with(|| one.code.cmp(other.code))
        }
        _ => std::cmp::Ordering::Equal,
    }
}

/// What stands against a flight of these glasses; nothing where it keeps to the sizes. One that is small is no fault: there may
/// be no more of its category.
pub fn fault<'a>(glasses: impl IntoIterator<Item = &'a Declared>, sizes: &Sizes) -> Option<Fault> {
    let (mut all, mut strong) = (0, 0);
    for declared in glasses {
        all += 1;
        strong += usize::from(declared.is_strong());
    }
    match () {
        () if all > sizes.most => Some(Fault::TooMany {
            glasses: all,
            most: sizes.most,
        }),
        () if strong > sizes.strong => Some(Fault::TooManyStrong {
            strong,
            most: sizes.strong,
        }),
        () => None,
    }
}
