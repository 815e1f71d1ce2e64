//! The order of pouring, so that no glass spoils the next: dry before sweet, light before strong, plain before fruit before spice,
//! and pepper at the end. Common practice, no published source.

use std::cmp::Ordering;

use super::declared::{Character, Declared, STRONG_FROM, Sweetness};

/// ABV in per cent: below it a mead counts as light among the steps of strength.
pub const LIGHT_BELOW: f64 = 7.5;

/// How strong, in steps: within one step it is the character that counts, not a tenth of a per cent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Strength {
    Light,
    Usual,
    Strong,
}

impl Strength {
    /// Of an ABV in per cent.
    pub fn of(abv_percent: f64) -> Strength {
        match abv_percent {
            abv if abv < LIGHT_BELOW => Strength::Light,
            abv if abv < STRONG_FROM => Strength::Usual,
            _ => Strength::Strong,
        }
    }
}

/// A glass, as far as it is known. What is not known is poured where it spoils least: behind what is known to be milder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Poured {
    pub sweetness: Option<Sweetness>,
    /// ABV, per cent.
    pub abv_percent: Option<f64>,
    pub character: Character,
}

impl From<&Declared> for Poured {
    fn from(declared: &Declared) -> Poured {
        Poured {
            sweetness: Some(declared.sweetness),
            abv_percent: Some(declared.abv_percent),
            character: declared.character,
        }
    }
}

/// Which of two glasses comes first: pepper last, since what burns stays; then dry before sweet, by steps of strength, by
/// character, and within all of that the lighter first. A total order of what is known: a strength that is no number counts as
/// unknown.
pub fn compare(one: &Poured, other: &Poured) -> Ordering {
    let known = |glass: &Poured| glass.abv_percent.filter(|abv| !abv.is_nan());
    let key = |glass: &Poured| {
        (
            glass.character == Character::Pepper,
            glass.sweetness.is_none(),
            glass.sweetness,
            known(glass).is_none(),
            known(glass).map(Strength::of),
            glass.character,
        )
    };
    let abv = |glass: &Poured| known(glass).unwrap_or(f64::INFINITY);
    key(one)
        .cmp(&key(other))
        .then_with(|| abv(one).total_cmp(&abv(other)))
}

/// Places in the list, in the order of pouring; what is alike stays in the order in which it came.
pub fn order(glasses: &[Poured]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..glasses.len()).collect();
    order.sort_by(
        |one, other| match (glasses.get(*one), glasses.get(*other)) {
            (Some(one), Some(other)) => compare(one, other),
            _ => Ordering::Equal,
        },
    );
    order
}
