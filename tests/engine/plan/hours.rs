//! A feed is given when somebody is at home and awake.

use mustwright::engine::plan::morning_or_evening;
use proptest::prelude::*;

use crate::support::{any_number, close};

#[test]
fn by_hand() {
    for (pitched, hours, wanted, why) in [
        (19.0, 24.0, 24.0, "seven in the evening stays"),
        (21.0, 24.0, 23.0, "nine in the evening becomes eight"),
        (
            23.0,
            24.0,
            21.0,
            "eleven at night becomes eight in the evening",
        ),
        (12.0, 24.0, 21.0, "noon becomes nine in the morning"),
        (
            14.0,
            24.0,
            28.0,
            "two in the afternoon becomes six in the evening",
        ),
        (13.5, 24.0, 19.5, "as near to both: the earlier"),
        (2.0, 48.0, 53.0, "two at night becomes seven in the morning"),
        (
            1.0,
            48.0,
            43.0,
            "one at night becomes eight the evening before",
        ),
        (8.0, 72.0, 72.0, "eight in the morning stays"),
    ] {
        close(morning_or_evening(pitched, hours, 6.0), wanted, 1e-9, why);
    }
    // With little to give or take it stays where it is.
    assert_eq!(morning_or_evening(12.0, 24.0, 1.0), 24.0);
}

fn is_at_home(hour_of_day: f64) -> bool {
    [(7.0, 9.0), (18.0, 20.0)]
        .iter()
        .any(|(from, to)| (from - 1e-6..=to + 1e-6).contains(&hour_of_day))
}

proptest! {
    #[test]
    fn always_at_home_within_six_hours(pitched in 0.0..24.0, hours in 0.0..400.0) {
        let placed = morning_or_evening(pitched, hours, 6.0);
        prop_assert!((placed - hours).abs() <= 6.0 + 1e-9);
        prop_assert!(is_at_home((pitched + placed).rem_euclid(24.0)));
    }

    #[test]
    fn never_further_than_allowed(pitched in 0.0..24.0, hours in 0.0..400.0, most in 0.0..6.0) {
        let placed = morning_or_evening(pitched, hours, most);
        prop_assert!((placed - hours).abs() <= most + 1e-9);
        prop_assert!(placed == hours || is_at_home((pitched + placed).rem_euclid(24.0)));
    }

    #[test]
    fn anything_else_does_no_harm(pitched in any_number(), hours in any_number(), most in any_number()) {
        let placed = morning_or_evening(pitched, hours, most);
        prop_assert_eq!(placed.is_nan(), hours.is_nan());
    }
}
