//! How opinions become one number: a mean that begins with a few opinions nobody gave.
//!
//! A mean of one says little. So each recipe begins with [`BEGINS_WITH`] opinions of [`BEGINS_AT`], and a single five does
//! not stand above what twenty members found very good. Who made or tasted it counts whole; who has only read it counts
//! half, for paper has no taste. A Bayesian mean; where it begins and what counts half are our judgement, no published
//! source. All weights are halves, so the sums are exact in whatever order they are taken.

use super::model::{Basis, Rating};

/// The opinion with which each recipe begins, of five.
pub const BEGINS_AT: f64 = 3.0;
/// How many opinions that counts for.
pub const BEGINS_WITH: f64 = 4.0;

impl Basis {
    /// How much an opinion counts.
    pub fn weight(self) -> f64 {
        match self {
            Basis::Made | Basis::Tasted => 1.0,
            Basis::Read => 0.5,
        }
    }
}

/// What many opinions come to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Score {
    pub made: usize,
    pub tasted: usize,
    pub read: usize,
    /// All numbers of those who made or tasted it, added.
    pub known_sum: f64,
    /// The same of those who have only read it.
    pub read_sum: f64,
}

impl Score {
    /// Of these opinions.
    pub fn of(ratings: impl IntoIterator<Item = Rating>) -> Score {
        let mut score = Score::default();
        for rating in ratings {
            let stars = f64::from(rating.stars);
            match rating.basis {
                Basis::Made => score.made += 1,
                Basis::Tasted => score.tasted += 1,
                Basis::Read => score.read += 1,
            }
            match rating.basis {
                Basis::Made | Basis::Tasted => score.known_sum += stars,
                Basis::Read => score.read_sum += stars,
            }
        }
        score
    }

    /// How many gave their opinion.
    pub fn count(&self) -> usize {
        self.made + self.tasted + self.read
    }

    /// By which lists rank, 1 to 5; none while nobody has rated.
    pub fn mean(&self) -> Option<f64> {
        let half = Basis::Read.weight();
        let sum = BEGINS_AT * BEGINS_WITH + self.known_sum + half * self.read_sum;
        let weight = BEGINS_WITH + (self.made + self.tasted) as f64 + half * self.read as f64;
        (self.count() > 0).then(|| sum / weight)
    }

    /// All numbers added and divided by their count, 1 to 5.
    pub fn plain_mean(&self) -> Option<f64> {
        (self.count() > 0).then(|| (self.known_sum + self.read_sum) / self.count() as f64)
    }
}

/// What each revision that was rated scored, the newest first.
pub fn by_revision(ratings: &[(i32, Rating)]) -> Vec<(i32, Score)> {
    let mut numbers: Vec<i32> = ratings.iter().map(|(number, _)| *number).collect();
    numbers.sort_unstable_by(|a, b| b.cmp(a));
    numbers.dedup();
    let of = |number: i32| {
        let own = ratings.iter().filter(|(of, _)| *of == number);
        (number, Score::of(own.map(|(_, rating)| *rating)))
    };
    numbers.into_iter().map(of).collect()
}

/// The revision that scored best; of equals the one that more have rated, then the newer. None while nobody has rated.
pub fn best_revision(ratings: &[(i32, Rating)]) -> Option<(i32, Score)> {
    let rank = |(number, score): &(i32, Score)| (score.mean(), score.count(), *number);
    by_revision(ratings).into_iter().max_by(|a, b| {
        rank(a)
            .partial_cmp(&rank(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratings(pairs: &[(u8, Basis)]) -> Vec<Rating> {
        let rating = |(stars, basis): &(u8, Basis)| Rating {
            stars: *stars,
            basis: *basis,
        };
        pairs.iter().map(rating).collect()
    }

    #[test]
    fn worked_by_hand() {
        use Basis::{Made, Read, Tasted};
        for (given, mean, plain) in [
            (vec![], None, None),
            // (12 + 5) / 5, and half of it for who has only read.
            (vec![(5, Made)], Some(3.4), Some(5.0)),
            (vec![(5, Tasted)], Some(3.4), Some(5.0)),
            (vec![(5, Read)], Some(14.5 / 4.5), Some(5.0)),
            (vec![(3, Read)], Some(3.0), Some(3.0)),
            (vec![(1, Made), (5, Made)], Some(3.0), Some(3.0)),
            (
                vec![(5, Made), (4, Tasted), (2, Read)],
                Some(22.0 / 6.5),
                Some(11.0 / 3.0),
            ),
        ] {
            let score = Score::of(ratings(&given));
            assert_eq!(
                (score.mean(), score.plain_mean()),
                (mean, plain),
                "{given:?}"
            );
            assert_eq!(score.count(), given.len());
        }
    }

    #[test]
    fn one_five_stands_below_twenty_fours() {
        let one = Score::of(ratings(&[(5, Basis::Made)]));
        let many = Score::of(ratings(&[(4, Basis::Made); 20]));
        assert!(one.mean() < many.mean());
        assert!(one.plain_mean() > many.plain_mean());
    }

    #[test]
    fn more_is_never_less_and_the_range_holds() {
        for count in 1..60 {
            for basis in Basis::ALL {
                let of = |stars| Score::of(ratings(&vec![(stars, basis); count])).mean();
                for stars in 1..5 {
                    assert!(of(stars) < of(stars + 1));
                }
                assert!(of(1) >= Some(1.0) && of(5) <= Some(5.0));
            }
        }
    }

    #[test]
    fn the_best_revision() {
        let made = |stars| Rating {
            stars,
            basis: Basis::Made,
        };
        let best = |given: &[(i32, Rating)]| best_revision(given).map(|(number, _)| number);
        assert_eq!(best(&[]), None);
        assert_eq!(best(&[(1, made(4)), (2, made(5)), (3, made(2))]), Some(2));
        // Two fours say more than one.
        assert_eq!(best(&[(1, made(4)), (1, made(4)), (2, made(4))]), Some(1));
        // Two threes are no more than one; then more opinions lead, then the newer.
        assert_eq!(best(&[(1, made(3)), (1, made(3)), (2, made(3))]), Some(1));
        assert_eq!(best(&[(1, made(3)), (2, made(3))]), Some(2));
        assert_eq!(by_revision(&[(1, made(3)), (3, made(4))])[0].0, 3);
    }
}
