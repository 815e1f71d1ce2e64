//! Merging and splitting: the rule as published, and nothing else.

use mustwright::engine::contest::merge::{Change, Counted, changes, in_words};
use mustwright::engine::contest::rules::Rules;
use proptest::prelude::*;

fn counted(list: &[(&str, usize)]) -> Vec<Counted> {
    let one = |(key, (family, entries)): (i64, &(&str, usize))| Counted {
        key,
        family: Some((*family).to_owned()).filter(|family| !family.is_empty()),
        entries: *entries,
    };
    (1..).zip(list).map(one).collect()
}

fn rules(merge_below: u32, split_above: u32) -> Rules {
    Rules {
        merge_below,
        split_above,
        ..Rules::default()
    }
}

#[test]
fn small_ones_go_to_their_own_family_first() {
    let list = counted(&[
        ("plain", 5),
        ("fruit", 2),
        ("spice", 6),
        ("fruit", 9),
        ("", 4),
    ]);
    assert_eq!(
        changes(&list, &rules(4, 16)),
        [Change::Merge { from: 2, into: 4 }]
    );
}

#[test]
fn without_a_family_it_is_the_nearest_and_of_two_the_one_before() {
    let list = counted(&[("", 5), ("", 3), ("", 6)]);
    assert_eq!(
        changes(&list, &rules(4, 16)),
        [Change::Merge { from: 2, into: 1 }]
    );
    // An empty one is no neighbour.
    let list = counted(&[("", 0), ("", 3), ("", 0), ("", 6)]);
    assert_eq!(
        changes(&list, &rules(4, 16)),
        [Change::Merge { from: 2, into: 4 }]
    );
}

#[test]
fn the_smallest_goes_first_and_what_has_grown_stays() {
    let list = counted(&[("", 3), ("", 1), ("", 3), ("", 8)]);
    // The one goes to the first three, which are four then; the other three go to the eight.
    assert_eq!(
        changes(&list, &rules(4, 16)),
        [
            Change::Merge { from: 2, into: 1 },
            Change::Merge { from: 3, into: 4 }
        ]
    );
}

#[test]
fn large_ones_are_split_evenly_merged_ones_too() {
    let list = counted(&[("", 33), ("", 15), ("", 2)]);
    assert_eq!(
        changes(&list, &rules(4, 16)),
        [
            Change::Merge { from: 3, into: 2 },
            Change::Split {
                of: 1,
                parts: vec![11, 11, 11]
            },
            Change::Split {
                of: 2,
                parts: vec![9, 8]
            },
        ]
    );
}

#[test]
fn a_single_one_stays_however_small() {
    assert_eq!(changes(&counted(&[("", 0), ("", 2)]), &rules(4, 16)), []);
    assert_eq!(changes(&[], &rules(4, 16)), []);
}

#[test]
fn the_rule_is_told_with_its_numbers() {
    let words = in_words(&rules(5, 21)).join(" ");
    assert!(words.contains("fewer than 5 entries"), "{words}");
    assert!(words.contains("more than 21 entries"), "{words}");
    // Where nothing merges, nothing is said of it.
    let words = in_words(&rules(0, 21)).join(" ");
    assert!(!words.contains("neighbour"), "{words}");
}

proptest! {
    #[test]
    fn afterwards_nothing_is_too_small_or_too_large(
        list in proptest::collection::vec((0usize..3, 0usize..40), 0..12),
        merge_below in 1u32..7,
        split_above in 14u32..30,
    ) {
        let names = ["", "fruit", "spice"];
        let list: Vec<(&str, usize)> = list.into_iter().map(|(at, count)| (names[at], count)).collect();
        let categories = counted(&list);
        let mut counts: std::collections::BTreeMap<i64, usize> =
            categories.iter().map(|one| (one.key, one.entries)).collect();
        let before: usize = counts.values().sum();
        let mut parts_of = Vec::new();
        for change in changes(&categories, &rules(merge_below, split_above)) {
            match change {
                Change::Merge { from, into } => {
                    prop_assert_ne!(from, into);
                    let moved = counts.insert(from, 0).unwrap_or(0);
                    prop_assert!(moved > 0 && moved < merge_below as usize);
                    *counts.entry(into).or_default() += moved;
                }
                Change::Split { of, parts } => {
                    prop_assert!(parts.len() > 1);
                    prop_assert_eq!(parts.iter().sum::<usize>(), counts[&of]);
                    counts.insert(of, 0);
                    parts_of.extend(parts);
                }
            }
        }
        let judged: Vec<usize> = counts.into_values().chain(parts_of).filter(|count| *count > 0).collect();
        prop_assert_eq!(judged.iter().sum::<usize>(), before);
        for count in &judged {
            prop_assert!(*count <= split_above as usize);
            prop_assert!(judged.len() == 1 || *count >= merge_below as usize, "{:?}", judged);
        }
    }
}
