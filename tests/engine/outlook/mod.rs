//! The outlook of a batch: fitted to readings whose truth is known, from the balance of its must, honest about what it does not know.

mod course;

use mustwright::engine::balance::{Liquid, StoppedBy, ferment, ferment_to_gravity};
use mustwright::engine::forecast::{
    Addition, At, HORIZON_H, Plan, Reading, Stretch, Timeline, run,
};
use mustwright::engine::outlook::{
    Change, Feed, Known, Limit, Outlook, POINTS, Unknown, When, outlook,
};
use proptest::prelude::*;

use crate::support::{any_number, close};

/// 6.2 kg of honey in about 20 L.
const MUST: Liquid = Liquid {
    water_kg: 16.2,
    sugar_kg: 4.53,
    extract_kg: 0.56,
    ethanol_kg: 0.0,
};
const CLOCK_H: [f64; 3] = [24.0, 48.0, 72.0];

/// A usual batch, nothing read yet.
fn known(now_h: f64) -> Known {
    Known {
        must: MUST,
        pitch_g_per_l: 0.325,
        tolerance_abv_percent: 18.0,
        yan_mg_per_l: 15.0,
        feeds: CLOCK_H
            .map(|hours| Feed {
                when: When::Hours(hours),
                yan_mg_per_l: 50.0,
            })
            .to_vec(),
        temperatures: vec![Stretch {
            from_h: 0.0,
            temperature_c: 20.0,
        }],
        readings: Vec::new(),
        changes: Vec::new(),
        now_h,
        earlier: Vec::new(),
        lid_is_tight: false,
    }
}

/// The same must with known factors: what its hydrometer shows after so many hours.
fn truth(growth_factor: f64, uptake_factor: f64) -> impl Fn(f64) -> f64 {
    let additions = CLOCK_H.map(|hours| Addition {
        at: At::Hours(hours),
        yan_mg_per_l: 50.0,
    });
    let plan = Plan {
        sugar_g_per_l: 1_000.0 * MUST.sugar_kg / MUST.state().volume_l,
        yan_mg_per_l: 15.0,
        pitch_g_per_l: 0.325,
        ethanol_g_per_l: 0.0,
        temperatures: &known(0.0).temperatures,
        additions: &additions,
        growth_factor,
        uptake_factor,
        holds_growth: true,
    };
    let line: Timeline = run(&plan, HORIZON_H).expect("a run");
    move |hours| {
        ferment(&MUST, line.used_at(hours) * MUST.sugar_kg)
            .state()
            .sg
    }
}

/// Read at those hours, to the thousandth as a hydrometer is.
fn read(sg: impl Fn(f64) -> f64, hours: &[f64]) -> Vec<Reading> {
    let rounded = |hours: f64| (sg(hours) * 1_000.0).round() / 1_000.0;
    let reading = |hours: &f64| Reading {
        hours: *hours,
        sg: rounded(*hours),
    };
    hours.iter().map(reading).collect()
}

fn told(known: &Known) -> Outlook {
    outlook(known).expect("an outlook")
}

#[test]
fn before_any_reading_it_is_what_is_usual() {
    let found = told(&known(30.0));
    assert!(!found.is_fitted);
    close(found.uptake.value, 0.6, 1e-9, "uptake");
    close(found.uptake.sd_of_ln, 0.5, 1e-9, "sd");
    assert_eq!(found.points.len(), POINTS);
    let end = found.end_h.expect("an end");
    assert!(end.high > 2.0 * end.low, "{end:?}");
    // Nothing is told yet that the plan would not: both lines are one.
    for (point, (hours, sg)) in found.points.iter().zip(&found.planned) {
        close(point.hours, *hours, 1e-9, "hours");
        close(point.sg.best, *sg, 1e-6, "gravity");
    }
}

#[test]
fn it_ends_where_the_balance_says() {
    let found = told(&known(0.0));
    let dry = ferment(&MUST, MUST.sugar_kg).state();
    close(found.og, MUST.state().sg, 1e-9, "og");
    close(found.fg.best, dry.sg, 1e-9, "fg");
    close(found.abv_percent, dry.abv_percent, 1e-9, "strength");
    assert_eq!(found.stopped_by, StoppedBy::Sugar);
    // A yeast that stops before the sugar does: sugar counts as far as it goes, and its limit is known to 1.5 % only.
    let weak = told(&Known {
        tolerance_abv_percent: 11.0,
        ..known(0.0)
    });
    assert_eq!(weak.stopped_by, StoppedBy::Tolerance);
    close(weak.abv_percent, 11.0, 1e-6, "strength");
    close(weak.fg.high - weak.fg.best, 0.010, 0.003, "give");
    close(weak.fg.best - weak.fg.low, 0.010, 0.003, "take");
    // The last gravity of the band is that end.
    let last = weak.points.last().expect("a point");
    close(last.sg.best, weak.fg.best, 0.002, "end of the line");
}

#[test]
fn readings_are_followed() {
    let sg = truth(0.9, 0.4);
    let hours: Vec<f64> = (0..9).map(|n| 24.0 * f64::from(n)).collect();
    let found = told(&Known {
        readings: read(&sg, &hours),
        ..known(192.0)
    });
    assert!(found.is_fitted);
    assert_eq!(found.used.readings, 9);
    close(found.uptake.value, 0.4, 0.02, "uptake");
    assert!(found.uptake.sd_of_ln < 0.1);
    close(found.now.best, sg(192.0), 0.001, "now");
    for point in &found.points {
        close(point.sg.best, sg(point.hours), 0.003, "gravity");
        assert!(point.sg.low <= point.sg.best && point.sg.best <= point.sg.high);
    }
    // The third of the fall has been passed; where, is known to some hours.
    let third = found.one_third_h.expect("a third");
    let third_sg = found.og - (found.og - found.fg.best) / 3.0;
    close(sg(third.best), third_sg, 0.001, "a third");
    let ninety_five = found.ninety_five_h.expect("95 %");
    assert!(third.best < ninety_five.best && ninety_five.best < found.end_h.expect("an end").best);
    let before = told(&known(192.0)).ninety_five_h.expect("95 %");
    assert!(
        ninety_five.high - ninety_five.low < 0.5 * (before.high - before.low),
        "{ninety_five:?}"
    );
}

#[test]
fn what_is_read_later_than_now_is_not_known_yet() {
    let sg = truth(0.9, 0.4);
    let hours = [0.0, 24.0, 48.0, 72.0, 300.0];
    let all = Known {
        readings: read(&sg, &hours),
        ..known(80.0)
    };
    let some = Known {
        readings: read(&sg, &hours[..4]),
        ..known(80.0)
    };
    assert_eq!(told(&all), told(&some));
}

#[test]
fn the_clubs_own_batches_are_the_belief_once_there_are_five() {
    let four = Known {
        earlier: vec![(1.0, 0.3); 4],
        ..known(0.0)
    };
    let five = Known {
        earlier: vec![(1.0, 0.3); 5],
        ..known(0.0)
    };
    close(told(&four).uptake.value, 0.6, 1e-9, "uptake");
    assert!(told(&four).limits.contains(&Limit::HoneyNotCalibrated));
    let found = told(&five);
    close(found.uptake.value, 0.3, 1e-9, "uptake");
    assert_eq!(found.used.batches, 5);
    assert!(!found.limits.contains(&Limit::HoneyNotCalibrated));
}

#[test]
fn a_feed_by_gravity_is_that_feed_at_its_hour() {
    let by = |when| {
        let feeds = vec![Feed {
            when,
            yan_mg_per_l: 120.0,
        }];
        told(&Known {
            feeds,
            ..known(0.0)
        })
    };
    let at_sg = by(When::Gravity(1.070));
    let reached = |hours: f64| {
        let line = &at_sg.planned;
        let near = line
            .iter()
            .min_by(|a, b| (a.0 - hours).abs().total_cmp(&(b.0 - hours).abs()));
        near.expect("a point").1
    };
    let hours = at_sg
        .planned
        .iter()
        .find(|(_, sg)| *sg < 1.070)
        .expect("fallen")
        .0;
    close(reached(hours), 1.070, 0.003, "gravity");
    let end = |found: &Outlook| found.end_h.expect("an end").best;
    let at_hour = by(When::Hours(hours));
    close(end(&at_hour), end(&at_sg), 0.02 * end(&at_sg), "end");
    // Whichever is first.
    assert_eq!(by(When::Either(5_000.0, 1.070)).end_h, at_sg.end_h);
    assert_eq!(
        by(When::Either(30.0, 1.070)).end_h,
        by(When::Hours(30.0)).end_h
    );
    // A gravity that never comes feeds nothing.
    let none = Known {
        feeds: Vec::new(),
        ..known(0.0)
    };
    assert_eq!(by(When::Gravity(0.980)).end_h, told(&none).end_h);
}

/// Honey for two more percent goes in at 1.020.
fn fed() -> Known {
    let sg = truth(1.0, 0.6);
    let hours: Vec<f64> = (0..6).map(|n| 24.0 * f64::from(n)).collect();
    let mut readings = read(&sg, &hours);
    let fed_at = 130.0;
    readings.push(Reading {
        hours: fed_at,
        sg: 1.020,
    });
    let parts = Liquid {
        water_kg: 0.18,
        sugar_kg: 0.73,
        extract_kg: 0.09,
        ethanol_kg: 0.0,
    };
    Known {
        readings,
        changes: vec![Change {
            hours: fed_at,
            parts,
        }],
        ..known(140.0)
    }
}

#[test]
fn after_honey_was_fed_it_begins_anew() {
    let known = fed();
    let found = told(&known);
    close(found.from_h, 130.0, 1e-9, "from");
    assert!(found.limits.contains(&Limit::BegunAnew));
    assert_eq!((found.used.readings, found.used.changes), (0, 1));
    let at_feed = ferment_to_gravity(&MUST, 1.020).expect("reached").liquid;
    let after = at_feed + known.changes[0].parts;
    close(found.og, after.state().sg, 1e-9, "gravity after feeding");
    let dry = ferment(&after, after.sugar_kg).state();
    close(found.abv_percent, dry.abv_percent, 1e-6, "strength");
    // Cells are many by now: the rest takes days, not the weeks of a new must.
    let end = found.end_h.expect("an end").best - 130.0;
    assert!((20.0..240.0).contains(&end), "{end}");
    // What is to come is not there yet.
    let before = told(&Known {
        now_h: 120.0,
        ..known.clone()
    });
    close(before.from_h, 0.0, 1e-9, "from");
    assert!(before.is_fitted);
    // Readings after it are followed.
    let mut read_on = known;
    for (hours, sg) in [(154.0, 1.020), (178.0, 1.012), (202.0, 1.006)] {
        read_on.readings.push(Reading { hours, sg });
    }
    read_on.now_h = 202.0;
    let found = told(&read_on);
    assert!(found.is_fitted);
    close(found.now.best, 1.006, 0.004, "now");
}

#[test]
fn water_without_readings_thins_what_the_model_says() {
    let water = Change {
        hours: 60.0,
        parts: Liquid::water(4.0),
    };
    let found = told(&Known {
        changes: vec![water],
        ..known(61.0)
    });
    let plain = told(&known(60.0));
    assert!(found.og < plain.now.best - 0.005, "{}", found.og);
    assert!(found.abv_percent < plain.abv_percent);
}

#[test]
fn limits_are_told_where_they_are_due() {
    let usual = told(&known(100.0)).limits;
    assert_eq!(usual, [Limit::NoPauseAtTheStart, Limit::HoneyNotCalibrated]);
    let cold = told(&Known {
        temperatures: vec![
            Stretch {
                from_h: 0.0,
                temperature_c: 18.0,
            },
            Stretch {
                from_h: 48.0,
                temperature_c: 8.0,
            },
        ],
        ..known(100.0)
    });
    assert!(cold.limits.contains(&Limit::OutsideTemperatures));
    let hungry = told(&Known {
        feeds: Vec::new(),
        ..known(100.0)
    });
    assert!(hungry.limits.contains(&Limit::LittleNitrogen));
    let hours: Vec<f64> = (0..5).map(|n| 24.0 * f64::from(n)).collect();
    let fitted = told(&Known {
        readings: read(truth(1.0, 0.6), &hours),
        ..known(100.0)
    });
    assert_eq!(fitted.limits, [Limit::HoneyNotCalibrated]);
}

#[test]
fn what_is_missing_is_named() {
    let sound = || known(50.0);
    let cases = [
        (
            Known {
                must: Liquid::water(20.0),
                ..sound()
            },
            Unknown::Sugar,
        ),
        (
            Known {
                tolerance_abv_percent: 0.0,
                ..sound()
            },
            Unknown::Sugar,
        ),
        (
            Known {
                pitch_g_per_l: 0.0,
                ..sound()
            },
            Unknown::Yeast,
        ),
        (
            Known {
                temperatures: Vec::new(),
                ..sound()
            },
            Unknown::Temperature,
        ),
        (
            Known {
                yan_mg_per_l: f64::NAN,
                ..sound()
            },
            Unknown::Number,
        ),
        (
            Known {
                now_h: f64::INFINITY,
                ..sound()
            },
            Unknown::Number,
        ),
    ];
    for (known, wanted) in cases {
        assert_eq!(outlook(&known), Err(wanted));
    }
}

fn finite(found: &Outlook) -> bool {
    let bands = [found.one_third_h, found.ninety_five_h, found.end_h];
    let bands = bands.into_iter().flatten().chain([found.fg, found.now]);
    let points = found.points.iter().map(|point| point.sg);
    let ordered = bands.chain(points).all(|band| {
        band.low.is_finite() && band.low <= band.best && band.best <= band.high && band.high < 1e9
    });
    let hours = found.points.iter().all(|point| point.hours.is_finite());
    let planned = found
        .planned
        .iter()
        .all(|(hours, sg)| hours.is_finite() && sg.is_finite());
    let rest = [
        found.og,
        found.abv_percent,
        found.growth.value,
        found.uptake.value,
        found.growth.sd_of_ln,
        found.uptake.sd_of_ln,
    ];
    ordered && hours && planned && rest.iter().all(|number| number.is_finite())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn nothing_hostile_makes_a_number_that_is_none(
        numbers in prop::array::uniform8(any_number()),
        later in prop::array::uniform6(any_number()),
    ) {
        let [water_kg, sugar_kg, pitch, tolerance, yan, celsius, now_h, hours] = numbers;
        let [sg, fed_h, fed_sg, added, changed_h, changed_kg] = later;
        let base = known(now_h);
        let hostile = Known {
            must: Liquid { water_kg, sugar_kg, ..MUST },
            pitch_g_per_l: pitch,
            tolerance_abv_percent: tolerance,
            yan_mg_per_l: yan,
            temperatures: vec![Stretch { from_h: hours, temperature_c: celsius }],
            feeds: vec![Feed { when: When::Either(fed_h, fed_sg), yan_mg_per_l: added }],
            readings: vec![Reading { hours, sg }; 4],
            changes: vec![Change { hours: changed_h, parts: Liquid::water(changed_kg) }],
            ..base.clone()
        };
        // One at a time, the rest sound, is as bad as all at once.
        let each = [
            Known { must: hostile.must, ..base.clone() },
            Known { pitch_g_per_l: pitch, tolerance_abv_percent: tolerance, ..base.clone() },
            Known { feeds: hostile.feeds.clone(), yan_mg_per_l: yan, ..base.clone() },
            Known { readings: hostile.readings.clone(), now_h: 500.0, ..base.clone() },
            Known { changes: hostile.changes.clone(), now_h: 500.0, ..base.clone() },
            Known { temperatures: hostile.temperatures.clone(), ..known(100.0) },
            hostile,
        ];
        for known in each {
            if let Ok(found) = outlook(&known) {
                prop_assert!(finite(&found), "{known:?} {found:?}");
            }
        }
    }
}
