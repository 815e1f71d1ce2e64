//! Is it finished? Every part of the rule by itself: take it away, and the answer is no.

use mustwright::engine::finish::still::{Known, LEFT_G_PER_L, Lacking, Read, verdict};
use proptest::prelude::*;

use crate::support::{any_number, close};

const DAY: f64 = 24.0;

fn read(days: f64, sg: f64) -> Read {
    Read {
        hours: days * DAY,
        sg,
        degassed: Some(true),
        must_c: Some(20.0),
    }
}

/// Two sound readings 14 days apart, and a yeast with room above.
fn finished() -> Known {
    Known {
        reads: vec![read(5.0, 1.040), read(30.0, 0.998), read(44.0, 0.9985)],
        changed_h: None,
        abv_percent: 12.4,
        tolerance_abv_percent: Some(14.0),
        now_h: 45.0 * DAY,
    }
}

fn with(change: impl FnOnce(&mut Known)) -> Known {
    let mut known = finished();
    change(&mut known);
    known
}

#[test]
fn two_sound_readings_two_weeks_apart_and_a_yeast_with_room_are_an_end() {
    let found = verdict(&finished());
    assert!(found.is_finished(), "{found:?}");
    let (first, last) = found.shown_by.expect("two readings");
    assert_eq!((first.hours, last.hours), (30.0 * DAY, 44.0 * DAY));
    assert_eq!(found.read_again_h, None);
    // Whatever the forecast expected, at most 3 g/L are left; and no more than it expected.
    close(found.fermentable_g_per_l(9.0), LEFT_G_PER_L, 0.0, "left");
    close(
        found.fermentable_g_per_l(1.0),
        1.0,
        0.0,
        "less was expected",
    );
}

#[test]
fn each_part_of_the_rule_is_needed() {
    let cases: Vec<(&str, Known, Vec<Lacking>, Option<f64>)> = vec![
        (
            "nothing was read",
            with(|k| k.reads.clear()),
            vec![Lacking::Reading],
            Some(45.0 * DAY),
        ),
        (
            "one reading",
            with(|k| k.reads = vec![read(40.0, 0.998)]),
            vec![Lacking::Time { days: 0.0 }],
            Some(54.0 * DAY),
        ),
        (
            "13 days",
            with(|k| k.reads[1] = read(31.0, 0.998)),
            vec![Lacking::Time { days: 13.0 }],
            Some(45.0 * DAY),
        ),
        (
            "gas in the last",
            with(|k| k.reads[2].degassed = None),
            vec![
                Lacking::Degassing { hours: 44.0 * DAY },
                Lacking::Time { days: 0.0 },
            ],
            Some(45.0 * DAY),
        ),
        (
            "gas in the first",
            with(|k| k.reads[1].degassed = Some(false)),
            vec![
                Lacking::Degassing { hours: 30.0 * DAY },
                Lacking::Time { days: 0.0 },
            ],
            Some(58.0 * DAY),
        ),
        (
            "too cold",
            with(|k| k.reads[2].must_c = Some(17.9)),
            vec![
                Lacking::Warmth {
                    hours: 44.0 * DAY,
                    celsius: 17.9,
                },
                Lacking::Time { days: 0.0 },
            ],
            Some(45.0 * DAY),
        ),
        (
            "nobody knows how warm",
            with(|k| k.reads[2].must_c = None),
            vec![
                Lacking::Temperature { hours: 44.0 * DAY },
                Lacking::Time { days: 0.0 },
            ],
            Some(45.0 * DAY),
        ),
        (
            "near the yeast's limit",
            with(|k| k.abv_percent = 12.6),
            vec![Lacking::Headroom {
                abv_percent: 12.6,
                tolerance_abv_percent: 14.0,
            }],
            None,
        ),
        (
            "no limit is known",
            with(|k| k.tolerance_abv_percent = None),
            vec![Lacking::Tolerance],
            None,
        ),
        (
            "honey went in between",
            with(|k| k.changed_h = Some(35.0 * DAY)),
            vec![Lacking::Time { days: 0.0 }],
            Some(58.0 * DAY),
        ),
    ];
    for (what, known, lacking, again) in cases {
        let found = verdict(&known);
        assert_eq!(found.lacking, lacking, "{what}");
        assert_eq!(found.read_again_h, again, "{what}");
        assert!(!found.is_finished(), "{what}");
        close(found.fermentable_g_per_l(9.0), 9.0, 0.0, what);
    }
}

#[test]
fn what_still_falls_is_told_with_how_much() {
    let falls = with(|k| k.reads[2].sg = 0.9965);
    let found = verdict(&falls);
    let [Lacking::Rest { by_sg, days }, Lacking::Time { .. }] = found.lacking.as_slice() else {
        panic!("{:?}", found.lacking);
    };
    close(*by_sg, 0.0015, 1e-12, "it fell");
    close(*days, 14.0, 1e-12, "in so many days");
    assert_eq!(
        found.read_again_h,
        Some(58.0 * DAY),
        "two weeks after the last"
    );
}

#[test]
fn exactly_one_point_and_exactly_the_room_are_enough() {
    let edge = with(|k| {
        k.reads[2].sg = 0.999;
        k.reads[2].must_c = Some(18.0);
        k.abv_percent = 12.5;
    });
    assert!(verdict(&edge).is_finished());
}

proptest! {
    /// It never says yes to less than the rule, and never sends anybody into the past.
    #[test]
    fn whatever_was_read_the_rule_holds(
        reads in prop::collection::vec(
            (any_number(), 0.99_f64..1.01, prop::option::of(any::<bool>()), prop::option::of(10.0_f64..25.0)),
            0..8,
        ),
        now_h in 0.0_f64..1e4,
        abv_percent in 0.0_f64..18.0,
        tolerance in prop::option::of(8.0_f64..18.0),
    ) {
        let reads: Vec<Read> = reads
            .into_iter()
            .map(|(hours, sg, degassed, must_c)| Read { hours, sg, degassed, must_c })
            .collect();
        let known = Known { reads, changed_h: None, abv_percent, tolerance_abv_percent: tolerance, now_h };
        let found = verdict(&known);
        if let Some((first, last)) = found.shown_by {
            prop_assert!(last.hours - first.hours >= 14.0 * DAY);
            prop_assert!((last.sg - first.sg).abs() <= 0.002 + 1e-9);
            for read in [first, last] {
                prop_assert_eq!(read.degassed, Some(true));
                prop_assert!(read.must_c.is_some_and(|celsius| celsius >= 18.0));
            }
        }
        if found.is_finished() {
            prop_assert!(found.shown_by.is_some());
            prop_assert!(tolerance.is_some_and(|most| abv_percent <= most - 1.5 + 1e-6));
        }
        if let Some(again) = found.read_again_h {
            prop_assert!(again.is_nan() || again >= now_h);
        }
    }
}
