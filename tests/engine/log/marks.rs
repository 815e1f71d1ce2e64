//! When what was reached, from readings on a straight line of sugar, and the end by two equal readings.

use mustwright::engine::balance::{Liquid, ferment};
use mustwright::engine::log::Start;

use super::*;
use crate::support::close;

const DAY: f64 = 24.0;

/// The gravity when so much of the sugar is gone.
fn gone(start: &Start, part: f64) -> f64 {
    let must: Liquid = start.must;
    ferment(&must, part * must.sugar_kg).state().sg
}

#[test]
fn marks_lie_where_the_sugar_was_gone() {
    let start = start();
    // A twentieth a day from the second day on.
    let mut entries = vec![
        at(0.0, reads(plan(&start).must_sg)),
        at(DAY, pitch()),
        at(2.0 * DAY, reads(gone(&start, 0.0))),
    ];
    for days in [3, 6, 9, 12, 15, 18, 21, 22] {
        let part = f64::from(days - 2) / 20.0;
        entries.push(at(
            f64::from(days) * DAY,
            reads(gone(&start, part.min(1.0))),
        ));
    }
    let state = after(&start, entries);
    assert_eq!(state.questions, []);
    let marks = state.marks;
    assert_eq!(marks.pitch, Some(DAY));
    assert_eq!(marks.first_fall, Some(3.0 * DAY));
    let days = |mark: Option<f64>| mark.expect("a mark") / DAY;
    close(days(marks.one_third), 2.0 + 20.0 / 3.0, 1e-6, "a third");
    close(days(marks.half), 12.0, 1e-6, "half");
    close(days(marks.nearly_all), 21.0, 1e-6, "95 %");
    assert_eq!(marks.end, None, "nothing shows the end yet");
    close(
        marks.days_to(marks.half).expect("days"),
        11.0,
        1e-6,
        "days from the pitch",
    );
    close(
        state.expected.one_third_sg,
        gone(&start, 1.0 / 3.0),
        1e-9,
        "the break",
    );
}

#[test]
fn two_equal_readings_fourteen_days_apart_show_the_end() {
    let with = |readings: &[(f64, f64)]| {
        let mut entries = vec![at(0.0, mixed(20.0, 1.086)), at(1.0, pitch())];
        entries.extend(
            readings
                .iter()
                .map(|(days, sg)| at(days * DAY, at_rest(*sg))),
        );
        let marks = after(&start(), entries).marks;
        (marks.end.map(|h| h / DAY), marks.end_shown.map(|h| h / DAY))
    };
    assert_eq!(
        with(&[(20.0, 1.000), (34.0, 1.000)]),
        (Some(20.0), Some(34.0))
    );
    assert_eq!(
        with(&[(20.0, 1.000), (27.0, 0.999), (34.0, 0.999)]),
        (Some(20.0), Some(34.0))
    );
    assert_eq!(with(&[(20.0, 1.000), (33.0, 1.000)]), (None, None));
    assert_eq!(with(&[(20.0, 1.002), (34.0, 1.000)]), (None, None));
    // It moved in between: the run begins anew.
    assert_eq!(
        with(&[(20.0, 1.003), (30.0, 1.000), (36.0, 1.000), (44.0, 1.000)]),
        (Some(30.0), Some(44.0))
    );
    // A must that does not start is no finished mead.
    assert_eq!(with(&[(5.0, 1.086), (25.0, 1.086)]), (None, None));
}

/// A sound mead may stand a little above its forecast: then that is the end, and at most 3 g/L are left to ferment.
#[test]
fn what_stands_still_has_at_most_a_little_left() {
    let stands = |above: f64| {
        let sg = plan(&start()).natural_fg + above;
        after(
            &start(),
            vec![
                at(0.0, mixed(20.0, plan(&start()).must_sg)),
                at(1.0, pitch()),
                at(30.0 * DAY, at_rest(sg)),
                at(45.0 * DAY, at_rest(sg)),
            ],
        )
    };
    let sound = stands(0.004);
    close(sound.expected.fermentable_g_per_l, 3.0, 1e-9, "left");
    let nearly_all = sound.marks.nearly_all.expect("a mark");
    assert!(
        nearly_all < 30.0 * DAY,
        "95 % of what fermented was gone before the end"
    );
    let stuck = stands(0.020);
    assert!(stuck.expected.fermentable_g_per_l > 30.0);
}

/// Honey that is fed raises the gravity: equal readings on either side of it are no end.
#[test]
fn a_feeding_between_is_no_end() {
    let state = after(
        &start(),
        vec![
            at(0.0, mixed(20.0, 1.086)),
            at(1.0, pitch()),
            at(20.0 * DAY, at_rest(1.010)),
            at(20.0 * DAY, honey_of(0.5, Why::StepFeed)),
            at(40.0 * DAY, at_rest(1.010)),
        ],
    );
    assert_eq!(state.marks.end, None);
}

/// The log, the plan and the pages of finishing have one rule: gas lifts the hydrometer, and cold yeast sleeps.
#[test]
fn a_reading_with_gas_in_it_or_in_the_cold_shows_no_end() {
    let reading = |degassed, must_temperature_c| {
        Deed::Reading(Reading {
            sg: Some(plan(&start()).natural_fg),
            degassed,
            must_temperature_c,
            ..Reading::default()
        })
    };
    let with = |first: Deed, second: Deed, more: Vec<Entry>| {
        let mut entries = vec![
            at(0.0, mixed(20.0, plan(&start()).must_sg)),
            at(1.0, pitch()),
            at(30.0 * DAY, first),
            at(45.0 * DAY, second),
        ];
        entries.extend(more);
        after(&start(), entries).marks.end.map(|hours| hours / DAY)
    };
    let sound = || reading(Some(true), Some(20.0));
    assert_eq!(with(sound(), sound(), Vec::new()), Some(30.0));
    for lacking in [
        reading(None, Some(20.0)),
        reading(Some(false), Some(20.0)),
        reading(Some(true), None),
        reading(Some(true), Some(17.0)),
    ] {
        assert_eq!(with(lacking.clone(), sound(), Vec::new()), None);
        assert_eq!(with(sound(), lacking, Vec::new()), None);
    }
    // Stirred out just before, and measured the day before.
    let around = vec![
        at(45.0 * DAY - 1.0, Deed::Degas),
        at(
            44.0 * DAY,
            Deed::Reading(Reading {
                must_temperature_c: Some(19.0),
                ..Reading::default()
            }),
        ),
    ];
    assert_eq!(with(sound(), reading(None, None), around), Some(30.0));
}

/// Whoever does not know where the yeast stops, or stands near it, does not know that the sugar is gone.
#[test]
fn near_the_limit_of_the_yeast_nothing_is_taken_for_gone() {
    let left = |tolerance_abv_percent| {
        let start = Start {
            tolerance_abv_percent,
            ..start()
        };
        let sg = plan(&start).natural_fg + 0.004;
        let entries = vec![
            at(0.0, mixed(20.0, plan(&start).must_sg)),
            at(1.0, pitch()),
            at(30.0 * DAY, at_rest(sg)),
            at(45.0 * DAY, at_rest(sg)),
        ];
        after(&start, entries).expected.fermentable_g_per_l
    };
    close(left(Some(16.0)), 3.0, 1e-9, "far below its limit");
    assert!(left(None) > 3.5, "{}", left(None));
}
