//! How a batch goes: each answer from readings that earn it, and none too early.

use mustwright::engine::forecast::Reading;
use mustwright::engine::outlook::{Course, Known};
use proptest::prelude::*;

use super::{MUST, known, read, told, truth};

fn course(readings: Vec<Reading>, now_h: f64) -> Course {
    told(&Known {
        readings,
        ..known(now_h)
    })
    .course
}

fn daily(days: u32) -> Vec<f64> {
    (0..=days).map(|day| 24.0 * f64::from(day)).collect()
}

/// As expected until an hour, then falling by so much a day.
fn slowed(from_h: f64, a_day: f64) -> impl Fn(f64) -> f64 {
    let sg = truth(1.0, 0.6);
    move |hours| sg(hours.min(from_h)) - a_day * (hours - from_h).max(0.0) / 24.0
}

#[test]
fn nothing_is_said_on_the_first_day_nor_without_a_reading() {
    assert_eq!(course(Vec::new(), -3.0), Course::Early);
    assert_eq!(course(read(|_| 1.100, &[0.0, 12.0]), 20.0), Course::Early);
    assert_eq!(course(Vec::new(), 30.0), Course::NotRead);
    assert_eq!(course(Vec::new(), 400.0), Course::NotRead);
}

#[test]
fn a_usual_batch_is_on_course_every_day_and_has_ended_when_nothing_moves() {
    let sg = truth(1.0, 0.6);
    for days in 1..=8 {
        let found = course(read(&sg, &daily(days)), 24.0 * f64::from(days));
        assert_eq!(found, Course::OnCourse, "day {days}");
    }
    let mut hours = daily(8);
    hours.extend([500.0, 571.0]);
    assert_eq!(course(read(&sg, &hours), 571.0), Course::OnCourse);
    hours.extend([573.0]);
    assert_eq!(course(read(&sg, &hours), 573.0), Course::Ended);
}

#[test]
fn batches_within_a_factor_of_two_are_on_course() {
    for uptake in [0.35, 0.45, 0.8, 1.0] {
        let sg = truth(1.0, uptake);
        for days in [3, 5, 7] {
            let found = course(read(&sg, &daily(days)), 24.0 * f64::from(days));
            assert_eq!(found, Course::OnCourse, "{uptake}, day {days}");
        }
    }
}

#[test]
fn within_72_hours_the_lid_is_asked_about_before_any_warning() {
    let flat = |_| MUST.state().sg;
    let readings = read(flat, &[0.0, 24.0, 48.0, 60.0]);
    assert_eq!(course(readings.clone(), 60.0), Course::AskAboutTheLid);
    let asked = told(&Known {
        readings,
        lid_is_tight: true,
        ..known(60.0)
    });
    assert_eq!(asked.course, Course::PossibleStall);
    let later = read(flat, &[0.0, 24.0, 48.0, 72.0]);
    assert_eq!(course(later, 72.0), Course::PossibleStall);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// However slow, however often it was read: while nobody has looked at the lid, nobody is warned in the first 72 hours.
    #[test]
    fn nobody_is_warned_before_72_hours(
        steps in prop::collection::vec(2.0..20.0_f64, 1..7),
        part in 0.0..0.4_f64,
        later_h in 0.0..10.0_f64,
    ) {
        let hours: Vec<f64> = steps
            .iter()
            .scan(0.0, |hours, step| {
                *hours += step;
                Some(*hours)
            })
            .take_while(|hours| *hours < 71.9)
            .collect();
        let now_h = (hours.last().copied().unwrap_or(0.0) + later_h).clamp(24.0, 71.9);
        let usual = truth(1.0, 0.6);
        let og = MUST.state().sg;
        let slow = |hours: f64| og - part * (og - usual(hours));
        let found = course(read(slow, &hours), now_h);
        prop_assert!(
            !matches!(found, Course::Slow | Course::PossibleStall),
            "{found:?} at {now_h} h"
        );
    }
}

#[test]
fn a_slow_batch_is_slow() {
    let sg = truth(0.8, 0.2);
    assert_eq!(course(read(sg, &daily(7)), 168.0), Course::Slow);
    // Above what the earlier ones forecast, for less than two days, and at more than a quarter of the rate.
    let found = course(read(slowed(120.0, 0.0045), &daily(7)), 168.0);
    assert_eq!(found, Course::Slow);
}

#[test]
fn a_fast_batch_is_ahead() {
    let sg = truth(1.2, 2.0);
    assert_eq!(course(read(sg, &daily(3)), 72.0), Course::AheadOfForecast);
}

#[test]
fn above_the_band_for_two_days_is_a_possible_stall() {
    // Falls too fast for a quarter of the rate, and not fast enough for its own forecast.
    let sg = slowed(96.0, 0.006);
    let mut hours = daily(5);
    hours.extend([144.0, 168.0]);
    assert_eq!(course(read(&sg, &hours), 168.0), Course::PossibleStall);
}

#[test]
fn a_quarter_of_the_rate_in_three_readings_is_a_possible_stall() {
    let sg = slowed(96.0, 0.001);
    let mut hours = daily(4);
    hours.extend([108.0, 120.0, 132.0]);
    assert_eq!(course(read(&sg, &hours), 132.0), Course::PossibleStall);
}

#[test]
fn a_stall_stays_one_however_long_it_is_watched() {
    let sg = slowed(96.0, 0.0);
    for days in [8, 14, 25] {
        let found = course(read(&sg, &daily(days)), 24.0 * f64::from(days));
        assert_eq!(found, Course::PossibleStall, "day {days}");
    }
}

#[test]
fn near_the_yeasts_limit_it_is_no_stall() {
    let sg = slowed(170.0, 0.0);
    let stopped = sg(170.0);
    let readings = read(&sg, &daily(14));
    assert!(stopped > 1.004, "{stopped}");
    let found = told(&Known {
        readings: readings.clone(),
        tolerance_abv_percent: 12.0,
        ..known(340.0)
    });
    assert_eq!(found.course, Course::AtItsLimit);
    let strong = told(&Known {
        readings,
        ..known(340.0)
    });
    assert_eq!(strong.course, Course::PossibleStall);
}
