//! Making flights: sizes hold, nothing is lost, every table gets its share of each sort.

use mustwright::engine::contest::declared::{Character, Declared, Sweetness};
use mustwright::engine::contest::flights::{Fault, Glass, Sizes, count, fault, make};
use mustwright::engine::contest::order::{Poured, compare};
use mustwright::engine::contest::rules::Rules;
use proptest::prelude::*;

use super::any::a_declared;

const USUAL: Sizes = Sizes {
    least: 6,
    most: 8,
    strong: 6,
};

fn code(at: usize) -> String {
    format!("AB{at:03}")
}

fn made(declared: &[Declared], sizes: &Sizes) -> Vec<Vec<usize>> {
    let codes: Vec<String> = (0..declared.len()).map(code).collect();
    let glasses: Vec<Glass<'_>> = declared
        .iter()
        .zip(&codes)
        .map(|(declared, code)| Glass { code, declared })
        .collect();
    make(&glasses, sizes)
}

fn of(abv_percent: f64, sweetness: Sweetness) -> Declared {
    Declared {
        abv_percent,
        sweetness,
        ..Declared::default()
    }
}

#[test]
fn the_rules_start_with_six_to_eight_and_six_strong() {
    assert_eq!(Sizes::from(&Rules::default()), USUAL);
}

#[test]
fn how_many_flights_it_takes() {
    for (glasses, strong, flights) in [
        (0, 0, 0),
        (1, 0, 1),
        (8, 6, 1),
        (8, 7, 2),
        (9, 0, 2),
        (16, 0, 2),
        (16, 13, 3),
        (17, 0, 3),
        (120, 0, 15),
    ] {
        assert_eq!(
            count(glasses, strong, &USUAL),
            flights,
            "{glasses}, {strong} strong"
        );
    }
}

#[test]
fn nine_glasses_are_five_and_four_since_eight_are_the_most() {
    let nine = vec![of(12.0, Sweetness::Dry); 9];
    let sizes: Vec<usize> = made(&nine, &USUAL).iter().map(Vec::len).collect();
    assert_eq!(sizes, [5, 4]);
}

#[test]
fn no_table_gets_all_the_sweet_ones() {
    let mut declared = vec![of(12.0, Sweetness::Dry); 8];
    declared.extend(vec![of(12.0, Sweetness::Sweet); 8]);
    for flight in made(&declared, &USUAL) {
        let sweet = flight.iter().filter(|at| **at >= 8).count();
        assert_eq!(sweet, 4, "{flight:?}");
        // And they come behind the dry ones.
        assert!(flight[..4].iter().all(|at| *at < 8), "{flight:?}");
    }
}

#[test]
fn a_change_by_hand_is_held_against_the_sizes() {
    let strong = of(14.0, Sweetness::Sweet);
    let light = of(6.0, Sweetness::Dry);
    let seven_strong = vec![strong.clone(); 7];
    assert_eq!(
        fault(&seven_strong, &USUAL),
        Some(Fault::TooManyStrong { strong: 7, most: 6 })
    );
    assert_eq!(
        fault(&vec![light.clone(); 9], &USUAL),
        Some(Fault::TooMany {
            glasses: 9,
            most: 8
        })
    );
    assert_eq!(fault(&vec![light; 3], &USUAL), None);
}

proptest! {
    #[test]
    fn sizes_hold_and_nothing_is_lost(
        declared in proptest::collection::vec(a_declared(), 0..60),
        most in 1usize..12,
        strong in 1usize..8,
    ) {
        let sizes = Sizes { least: 1, most, strong };
        let flights = made(&declared, &sizes);
        let mut all: Vec<usize> = flights.iter().flatten().copied().collect();
        all.sort_unstable();
        prop_assert_eq!(all, (0..declared.len()).collect::<Vec<_>>());
        let lengths: Vec<usize> = flights.iter().map(Vec::len).collect();
        if let (Some(most), Some(least)) = (lengths.iter().max(), lengths.iter().min()) {
            prop_assert!(most - least <= 1, "{:?}", lengths);
        }
        for flight in &flights {
            let of = flight.iter().map(|at| &declared[*at]);
            prop_assert_eq!(fault(of, &sizes), None);
            for pair in flight.windows(2) {
                let (one, other) = (&declared[pair[0]], &declared[pair[1]]);
                prop_assert_ne!(
                    compare(&Poured::from(one), &Poured::from(other)),
                    std::cmp::Ordering::Greater
                );
            }
        }
    }

    /// Where flights of the least size can be had without breaking an upper bound, they are.
    #[test]
    fn the_least_holds_where_it_can(glasses in 6usize..200) {
        let declared = vec![of(9.0, Sweetness::Dry); glasses];
        let flights = made(&declared, &USUAL);
        let can = (1..=glasses).any(|flights| flights * 6 <= glasses && glasses <= flights * 8);
        prop_assert_eq!(can, flights.iter().all(|flight| flight.len() >= 6), "{}", glasses);
    }

    /// Whoever made which, and in whatever order rows come: the codes and what is declared decide alone.
    #[test]
    fn the_order_of_rows_changes_nothing(
        declared in proptest::collection::vec(a_declared(), 0..30),
        shift in 0usize..30,
    ) {
        let codes: Vec<String> = (0..declared.len()).map(code).collect();
        let mut glasses: Vec<Glass<'_>> = declared
            .iter()
            .zip(&codes)
            .map(|(declared, code)| Glass { code, declared })
            .collect();
        let named = |glasses: &[Glass<'_>]| -> Vec<Vec<String>> {
            make(glasses, &USUAL)
                .iter()
                .map(|flight| flight.iter().map(|at| glasses[*at].code.to_owned()).collect())
                .collect()
        };
        let first = named(&glasses);
        if !glasses.is_empty() {
            let by = shift % glasses.len();
            glasses.rotate_left(by);
        }
        prop_assert_eq!(named(&glasses), first);
    }
}

#[test]
fn pepper_is_poured_at_the_end_of_its_flight() {
    let mut declared = vec![of(12.0, Sweetness::Sweet); 5];
    declared.push(Declared {
        character: Character::Pepper,
        ..of(6.0, Sweetness::Dry)
    });
    assert_eq!(made(&declared, &USUAL)[0].last(), Some(&5));
}
