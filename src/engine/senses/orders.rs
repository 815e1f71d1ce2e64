//! Orders of pouring that favour no mead, and codes that tell nothing. All from a seed, which whoever asks draws.

use super::shuffle::Chance;
use crate::engine::triangle::LARGEST_PANEL;

/// The six orders of a triangle: which of two meads is in the first, second and third glass. Source: ISO 4120.
pub const TRIANGLES: [[usize; 3]; 6] = [
    [0, 0, 1],
    [0, 1, 0],
    [1, 0, 0],
    [1, 1, 0],
    [1, 0, 1],
    [0, 1, 1],
];

/// The most meads that one order holds.
pub const MOST_MEADS: usize = 12;

/// For each of so many tasters the order of their triangle: each of the six equally often in every six tasters, and of a rest no
/// order twice. Empty above [`LARGEST_PANEL`].
pub fn triangles(tasters: usize, seed: u64) -> Vec<[usize; 3]> {
    dealt(&TRIANGLES, tasters, &mut Chance::of(seed))
}

/// For each of so many tasters the order of `meads` glasses, one of each: within every whole round each mead stands equally often
/// at each place, and follows each other mead equally often. A round is `meads` tasters, or twice as many for an odd number.
/// Method: Williams, Experimental designs balanced for the estimation of residual effects of treatments, 1949 (from memory).
/// Empty for no mead, more than [`MOST_MEADS`], or above [`LARGEST_PANEL`] tasters.
pub fn servings(meads: usize, tasters: usize, seed: u64) -> Vec<Vec<usize>> {
    if !(1..=MOST_MEADS).contains(&meads) {
        return Vec::new();
    }
    let mut chance = Chance::of(seed);
    // Which mead is which in the square is chance too.
    let mut names: Vec<usize> = (0..meads).collect();
    chance.shuffle(&mut names);
    let square: Vec<Vec<usize>> = square(meads)
        .into_iter()
        .map(|row| {
            row.into_iter()
                .filter_map(|at| names.get(at).copied())
                .collect()
        })
        .collect();
    dealt(&square, tasters, &mut chance)
}

/// The first row goes out and back, 0, 1, n−1, 2, n−2 …; each further row adds one to it, and for an odd number all rows stand
/// there once more from the back.
fn square(meads: usize) -> Vec<Vec<usize>> {
    let first: Vec<usize> = (0..meads)
        .map(|place| match place % 2 {
            1 => place.div_ceil(2),
            _ => (meads - place / 2) % meads,
        })
        .collect();
    let row = |add: usize| -> Vec<usize> { first.iter().map(|at| (at + add) % meads).collect() };
    let mut rows: Vec<Vec<usize>> = (0..meads).map(row).collect();
    if meads % 2 == 1 && meads > 1 {
        let back: Vec<Vec<usize>> = rows
            .iter()
            .map(|row| row.iter().rev().copied().collect())
            .collect();
        rows.extend(back);
    }
    rows
}

/// Deals rows to tasters, round by round, each round in an order of its own.
fn dealt<T: Clone>(rows: &[T], tasters: usize, chance: &mut Chance) -> Vec<T> {
    if tasters > LARGEST_PANEL as usize {
        return Vec::new();
    }
    let mut all = Vec::with_capacity(tasters);
    while all.len() < tasters {
        let mut round = rows.to_vec();
        chance.shuffle(&mut round);
        round.truncate(tasters - all.len());
        if round.is_empty() {
            break;
        }
        all.extend(round);
    }
    all
}

/// So many codes of three digits, no two the same, in an order of chance; at most 900. None begins with 0.
pub fn codes(count: usize, seed: u64) -> Vec<u16> {
    let mut all: Vec<u16> = (100..=999).collect();
    Chance::of(seed).shuffle(&mut all);
    all.truncate(count);
    all
}
