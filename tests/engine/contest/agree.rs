//! What a table may agree on, and the places that follow, against rules that must hold whatever the table says.

use std::collections::BTreeMap;

use mustwright::engine::contest::agree::{
    Refusal, Settled, agreed, agreed_by_orders, begin_from, level, must_taste_again, refused,
    spread,
};
use mustwright::engine::contest::rules::Rules;
use proptest::prelude::*;

fn entry(code: &str, totals: &[u32], points: Option<u32>) -> Settled {
    Settled {
        code: code.to_owned(),
        totals: totals.to_vec(),
        points,
        among_equals: None,
        tasted_again: false,
    }
}

#[test]
fn how_far_apart_and_where_to_begin() {
    for (totals, apart, begin) in [
        (&[][..], None, None),
        (&[31], None, Some(31)),
        (&[31, 38], Some(7), Some(35)),
        (&[30, 31, 31], Some(1), Some(31)),
        (&[30, 30, 31], Some(1), Some(30)),
    ] {
        assert_eq!(spread(totals), apart, "{totals:?}");
        assert_eq!(begin_from(totals), begin, "{totals:?}");
    }
    let rules = Rules::default();
    assert!(!must_taste_again(&rules, &[31, 38]));
    assert!(must_taste_again(&rules, &[31, 39]));
}

#[test]
fn what_a_table_is_refused_and_what_tasting_again_allows() {
    let rules = Rules::default();
    for (totals, points, without, again) in [
        (
            &[31, 38][..],
            None,
            Some(Refusal::NoPoints),
            Some(Refusal::NoPoints),
        ),
        (
            &[31, 38],
            Some(51),
            Some(Refusal::TooMany),
            Some(Refusal::TooMany),
        ),
        (&[31, 38], Some(35), None, None),
        (&[31, 38], Some(31), None, None),
        (&[31, 38], Some(30), Some(Refusal::OutsideAll), None),
        (&[31, 38], Some(39), Some(Refusal::OutsideAll), None),
        (&[31, 39], Some(35), Some(Refusal::FarApart), None),
    ] {
        let mut settled = entry("AB123", totals, points);
        assert_eq!(refused(&rules, &settled), without, "{settled:?}");
        settled.tasted_again = true;
        assert_eq!(refused(&rules, &settled), again, "{settled:?}");
    }
}

#[test]
fn equal_points_share_a_place_unless_the_table_says_which_is_better() {
    let rules = Rules::default();
    let mut all = [
        entry("AA111", &[30], Some(30)),
        entry("BB222", &[40], Some(40)),
        entry("CC333", &[40], Some(40)),
        entry("DD444", &[35], Some(35)),
    ];
    let places = |all: &[Settled]| -> Vec<(String, u32, bool)> {
        let of = agreed(&rules, all).entries.into_iter();
        of.map(|one| (one.code, one.place.unwrap(), one.goes_on))
            .collect()
    };
    let told = |code: &str, place, goes_on| (code.to_owned(), place, goes_on);
    let shared = [
        told("BB222", 1, true),
        told("CC333", 1, true),
        told("DD444", 3, false),
        told("AA111", 4, false),
    ];
    assert_eq!(places(&all), shared);
    all[2].among_equals = Some(1);
    all[1].among_equals = Some(2);
    let said = [
        told("CC333", 1, true),
        told("BB222", 2, true),
        told("DD444", 3, false),
        told("AA111", 4, false),
    ];
    assert_eq!(places(&all), said);
}

#[test]
fn a_final_is_reckoned_from_orders_alone() {
    let codes = ["AA111", "BB222", "CC333"].map(str::to_owned);
    let order = |codes: [&str; 3]| codes.map(str::to_owned).to_vec();
    let orders = [
        order(["BB222", "AA111", "CC333"]),
        order(["AA111", "BB222", "CC333"]),
        order(["BB222", "CC333", "AA111"]),
    ];
    let found = agreed_by_orders(&codes, &orders, &BTreeMap::new());
    let places: Vec<_> = found
        .entries
        .iter()
        .map(|one| (one.code.as_str(), one.place, one.points, one.goes_on))
        .collect();
    let wanted = [
        ("BB222", Some(1), None, true),
        ("AA111", Some(2), None, false),
        ("CC333", Some(3), None, false),
    ];
    assert_eq!(places, wanted);
    assert_eq!(found.orders, orders);
}

#[test]
fn glasses_that_orders_leave_level_are_told_apart_by_tasting_them_again() {
    let codes = ["AA111", "BB222", "CC333", "DD444"].map(str::to_owned);
    let order = |codes: [&str; 4]| codes.map(str::to_owned).to_vec();
    let orders = [
        order(["BB222", "AA111", "CC333", "DD444"]),
        order(["AA111", "BB222", "DD444", "CC333"]),
    ];
    let group = |codes: [&str; 2]| codes.map(str::to_owned).to_vec();
    assert_eq!(
        level(&codes, &orders),
        [group(["AA111", "BB222"]), group(["CC333", "DD444"])]
    );
    let again = [("AA111", 2), ("BB222", 1)].map(|(code, place)| (code.to_owned(), place));
    let found = agreed_by_orders(&codes, &orders, &BTreeMap::from(again));
    let told: Vec<_> = found
        .entries
        .iter()
        .map(|one| (one.code.as_str(), one.place, one.tasted_again, one.goes_on))
        .collect();
    assert_eq!(
        told,
        [
            ("BB222", Some(1), true, true),
            ("AA111", Some(2), true, false),
            ("CC333", Some(3), false, false),
            ("DD444", Some(3), false, false),
        ]
    );
    // Nothing that is tasted again passes by what the orders put before it.
    let again = BTreeMap::from([("CC333".to_owned(), 1), ("DD444".to_owned(), 2)]);
    let found = agreed_by_orders(&codes, &orders, &again);
    let places: Vec<_> = found.entries.iter().map(|one| one.place).collect();
    assert_eq!(places, [Some(1), Some(1), Some(3), Some(4)]);
    assert_eq!(level(&codes, &orders[..1]), [[""; 0]; 0]);
}

proptest! {
    #[test]
    fn places_follow_points_whatever_the_order_of_rows(
        points in prop::collection::vec(0u32..=50, 1..9),
        turn in 0usize..9,
    ) {
        let rules = Rules::default();
        let mut all: Vec<Settled> = points
            .iter()
            .enumerate()
            .map(|(at, points)| entry(&format!("AA{at:03}"), &[*points], Some(*points)))
            .collect();
        let before = agreed(&rules, &all);
        let by = turn % all.len();
        all.rotate_left(by);
        prop_assert_eq!(&agreed(&rules, &all), &before);
        for one in &before.entries {
            let better = before.entries.iter().filter(|other| other.points > one.points).count();
            prop_assert_eq!(one.place, u32::try_from(better + 1).ok());
            prop_assert_eq!(one.goes_on, one.place.is_some_and(|place| place <= rules.go_on));
        }
    }

    #[test]
    fn without_tasting_again_nobody_is_overruled_beyond_what_all_gave(
        totals in prop::collection::vec(0u32..=50, 1..5),
        points in 0u32..=60,
    ) {
        let rules = Rules::default();
        let settled = entry("AA111", &totals, Some(points));
        if refused(&rules, &settled).is_none() {
            prop_assert!(totals.iter().min().is_some_and(|least| *least <= points));
            prop_assert!(totals.iter().max().is_some_and(|most| *most >= points));
            prop_assert!(spread(&totals).unwrap_or(0) <= rules.spread_most);
        }
    }
}
