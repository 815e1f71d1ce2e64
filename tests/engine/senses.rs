//! Tasting tests: orders that favour nothing, and statistics against shared tables, a general-purpose statistics crate, and counting.

use std::collections::{BTreeMap, BTreeSet};

use mustwright::engine::senses::orders::{TRIANGLES, codes, servings, triangles};
use mustwright::engine::senses::ranking::{Ranking, chi_squared_tail, mid_ranks, weigh};
use mustwright::engine::triangle::{critical_number, p_value, power};
use proptest::prelude::*;
use statrs::distribution::{Binomial, ChiSquared, ContinuousCDF, DiscreteCDF};

use crate::support::{close, table};

fn counts<T: Ord + Clone>(things: &[T]) -> BTreeMap<T, usize> {
    let mut counts = BTreeMap::new();
    for thing in things {
        *counts.entry(thing.clone()).or_default() += 1;
    }
    counts
}

#[test]
fn the_six_orders_are_all_there_are() {
    let known: BTreeSet<[usize; 3]> = TRIANGLES.into_iter().collect();
    assert_eq!(known.len(), 6);
    for order in TRIANGLES {
        let ones = order.iter().sum::<usize>();
        assert!(order.iter().all(|mead| *mead < 2) && (1..=2).contains(&ones));
    }
}

#[test]
fn codes_have_three_digits_and_no_two_are_the_same() {
    for seed in 0..20 {
        let all = codes(900, seed);
        assert!(all.iter().all(|code| (100..=999).contains(code)));
        assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), 900);
    }
    assert_eq!(codes(5, 7).len(), 5);
    assert_eq!(codes(5, 7), codes(5, 7));
    assert_ne!(codes(5, 7), codes(5, 8));
}

/// By the table of the shared examples: ranks of each taster, sums, statistic, chance, least difference.
#[test]
fn the_examples_of_the_table() {
    let mut rows = 0;
    for row in table("styles") {
        if row.text("type") != "friedman" {
            continue;
        }
        rows += 1;
        let (meads, tasters) = example(row.text("definition"));
        let found = weigh(&tasters).expect("sound places");
        assert_eq!(found.sums.len(), meads);
        let wanted: Vec<f64> = row
            .text("value")
            .split(';')
            .map(|sum| sum.trim().parse().expect("a sum"))
            .collect();
        assert_eq!(found.sums, wanted);
        let note = row.text("note");
        let statistic = number(note, "tie-corrected F=").or(number(note, "F="));
        close(
            found.statistic,
            statistic.expect("F"),
            5e-5,
            "the statistic",
        );
        let p = number(note, "p=").expect("p");
        close(
            chi_squared_tail(found.statistic, meads - 1),
            p,
            5e-7,
            "the chance",
        );
        if let Some(least) = number(note, "LSD(0.05)=") {
            close(found.least_difference, least, 5e-4, "the least difference");
        }
    }
    assert_eq!(rows, 2);
}

/// "… 1234 | 2134" or "… 1,2.5,2.5 | 1,2,3": how many meads, and the places of each taster, doubled.
fn example(text: &str) -> (usize, Vec<Vec<u32>>) {
    let (_, ranks) = text.rsplit_once(": ").expect("ranks");
    let tasters: Vec<Vec<u32>> = ranks
        .split(" | ")
        .map(|one| {
            let each: Vec<String> = match one.contains(',') {
                true => one.split(',').map(str::to_owned).collect(),
                false => one.chars().map(String::from).collect(),
            };
            let doubled = |rank: &String| (2.0 * rank.parse::<f64>().expect("a rank")) as u32;
            each.iter().map(doubled).collect()
        })
        .collect();
    (tasters[0].len(), tasters)
}

fn number(text: &str, mark: &str) -> Option<f64> {
    let (_, rest) = text.split_once(mark)?;
    rest.split(',').next()?.trim().parse().ok()
}

#[test]
fn equal_places_share_the_mean_of_their_ranks() {
    assert_eq!(mid_ranks(&[1, 2, 2]), [1.0, 2.5, 2.5]);
    assert_eq!(mid_ranks(&[4, 4, 4, 4]), [2.5; 4]);
    assert_eq!(mid_ranks(&[9, 1, 5]), [3.0, 1.0, 2.0]);
}

/// Two tasters and three meads: of the 6 orders of the second 1 agrees wholly, 2 leave a sum of squares of 50, and so on.
#[test]
fn two_tasters_by_counting() {
    let p = |second: [u32; 3]| {
        weigh(&[vec![1, 2, 3], second.to_vec()])
            .expect("sound")
            .p_value
    };
    close(p([1, 2, 3]), 1.0 / 6.0, 1e-15, "wholly alike");
    close(p([2, 1, 3]), 3.0 / 6.0, 1e-15, "two changed");
    close(p([2, 3, 1]), 5.0 / 6.0, 1e-15, "all moved");
    close(p([3, 2, 1]), 1.0, 1e-15, "the other way round");
}

#[test]
fn who_puts_all_level_says_nothing() {
    let level = weigh(&[vec![1, 1, 1], vec![2, 2, 2]]).expect("sound");
    assert_eq!((level.statistic, level.p_value), (0.0, 1.0));
}

#[test]
fn what_is_no_ranking_is_refused() {
    let refused: [&[Vec<u32>]; 5] = [
        &[],
        &[vec![1, 2, 3]],
        &[vec![1, 2], vec![1, 2]],
        &[vec![1, 2, 3], vec![1, 2]],
        &[vec![1; 7], vec![1; 7]],
    ];
    for places in refused {
        assert_eq!(weigh(places), None, "{places:?}");
    }
    let many = vec![vec![1, 2, 3]; 1_001];
    assert_eq!(weigh(&many), None);
}

/// The published example of the shared notes: 30 tasters, 5 %, 30 % who can tell.
#[test]
fn the_power_of_thirty_tasters() {
    close(
        power(30, 0.05, 0.3).expect("in range"),
        0.709,
        5e-4,
        "power",
    );
    assert_eq!(power(2, 0.05, 0.5), None);
    assert_eq!(power(30, 0.05, 1.1), None);
    assert_eq!(power(30, 0.05, f64::NAN), None);
    assert_eq!(power(30, 0.05, 1.0), Some(1.0));
    close(
        power(12, 0.05, 0.0).expect("in range"),
        p_value(12, critical_number(12, 0.05).expect("a number")).expect("in range"),
        1e-14,
        "of nobody it is luck",
    );
}

fn places() -> impl Strategy<Value = Vec<Vec<u32>>> {
    (3usize..=6, 2usize..=7).prop_flat_map(|(meads, tasters)| {
        prop::collection::vec(prop::collection::vec(1u32..=6, meads), tasters)
    })
}

fn apart(found: &Ranking) -> f64 {
    found.sums.iter().map(|sum| sum * sum).sum()
}

proptest! {
    /// Every order as often as any other in each six, and in the rest none twice.
    #[test]
    fn orders_of_triangles_are_balanced(tasters in 0usize..=100, seed: u64) {
        let all = triangles(tasters, seed);
        prop_assert_eq!(all.len(), tasters);
        for round in all.chunks(6) {
            prop_assert_eq!(round.iter().collect::<BTreeSet<_>>().len(), round.len());
        }
        prop_assert_eq!(triangles(tasters, seed), all);
    }

    /// Within each whole round every mead stands at every place, and follows every other, equally often.
    #[test]
    fn orders_of_servings_are_balanced(meads in 2usize..=6, rounds in 1usize..=3, seed: u64) {
        let round = if meads % 2 == 0 { meads } else { 2 * meads };
        let all = servings(meads, round * rounds, seed);
        prop_assert_eq!(all.len(), round * rounds);
        for round in all.chunks(round) {
            let at: Vec<(usize, usize)> = round.iter().flat_map(|row| row.iter().copied().enumerate()).collect();
            let at = counts(&at);
            prop_assert_eq!(at.len(), meads * meads);
            prop_assert_eq!(at.values().collect::<BTreeSet<_>>().len(), 1);
            let after: Vec<(usize, usize)> = round.iter().flat_map(|row| row.windows(2).map(|two| (two[0], two[1]))).collect();
            let after = counts(&after);
            prop_assert_eq!(after.len(), meads * (meads - 1));
            prop_assert_eq!(after.values().collect::<BTreeSet<_>>().len(), 1);
        }
    }

    /// Each taster gets each mead once, whatever the number of tasters.
    #[test]
    fn everybody_gets_every_mead_once(meads in 1usize..=6, tasters in 0usize..=60, seed: u64) {
        for row in servings(meads, tasters, seed) {
            prop_assert_eq!(row.iter().copied().collect::<BTreeSet<_>>(), (0..meads).collect());
        }
    }

    #[test]
    fn tails_agree_with_the_statistics_crate(x in 0.001f64..80.0, degrees in 1usize..=6) {
        let known = ChiSquared::new(degrees as f64).expect("degrees").sf(x);
        prop_assert!((chi_squared_tail(x, degrees) - known).abs() <= 1e-10 * known + 1e-14, "{} {known}", chi_squared_tail(x, degrees));
    }

    #[test]
    fn luck_and_power_agree_with_the_statistics_crate(panel in 6u32..=120, part in 0.0f64..0.95) {
        let needed = critical_number(panel, 0.05).expect("a number");
        let at_least = |chance: f64, wanted: u32| {
            Binomial::new(chance, u64::from(panel)).expect("a chance").sf(u64::from(wanted) - 1)
        };
        let lucky = at_least(1.0 / 3.0, needed);
        prop_assert!((p_value(panel, needed).expect("in range") - lucky).abs() < 1e-9);
        prop_assert!(lucky <= 0.05 + 1e-9 && at_least(1.0 / 3.0, needed - 1) > 0.05 - 1e-9);
        let known = at_least(part + (1.0 - part) / 3.0, needed);
        prop_assert!((power(panel, 0.05, part).expect("in range") - known).abs() < 1e-9);
    }

    /// Counted out by brute force for three tasters of three meads.
    #[test]
    fn the_exact_chance_is_a_count(places in prop::collection::vec(prop::collection::vec(1u32..=3, 3), 3)) {
        const ORDERS: [[usize; 3]; 6] = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
        let found = weigh(&places).expect("sound places");
        prop_assert!(found.exact);
        let ranks: Vec<Vec<f64>> = places.iter().map(|one| mid_ranks(one)).collect();
        let mut as_far = 0;
        for (a, b, c) in triples(&ORDERS) {
            let sum = |mead: usize| ranks[0][a[mead]] + ranks[1][b[mead]] + ranks[2][c[mead]];
            let squares: f64 = (0..3).map(|mead| sum(mead) * sum(mead)).sum();
            as_far += usize::from(squares >= apart(&found) - 1e-9);
        }
        prop_assert!((found.p_value - as_far as f64 / 216.0).abs() < 1e-12);
    }
}

proptest! {
    // Each case counts many orders out, twice.
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Which mead is which, and which taster comes first, changes nothing; the chance falls as the sums lie further apart.
    #[test]
    fn names_do_not_matter(places in places(), turn in 0usize..6) {
        let found = weigh(&places).expect("sound places");
        prop_assert!((0.0..=1.0).contains(&found.p_value) && found.statistic >= 0.0);
        let meads = found.sums.len();
        let turned: Vec<Vec<u32>> = places.iter().rev().map(|one| {
            let mut one = one.clone();
            one.rotate_left(turn % meads);
            one
        }).collect();
        let other = weigh(&turned).expect("sound places");
        prop_assert!((other.p_value - found.p_value).abs() < 1e-9);
        prop_assert!((apart(&other) - apart(&found)).abs() < 1e-9);
        let total: f64 = found.sums.iter().sum();
        let wanted = places.len() as f64 * (meads * (meads + 1)) as f64 / 2.0;
        prop_assert!((total - wanted).abs() < 1e-9);
    }
}

/// All triples of orders.
fn triples(orders: &[[usize; 3]; 6]) -> Vec<([usize; 3], [usize; 3], [usize; 3])> {
    let pairs = orders
        .iter()
        .flat_map(|a| orders.iter().map(move |b| (*a, *b)));
    pairs
        .flat_map(|(a, b)| orders.iter().map(move |c| (a, b, *c)))
        .collect()
}
