//! How long a forecast of 60 days takes, a fit of 20 readings with the interval of its marks, and a whole outlook: one of 20
//! readings, one before any, one that begins anew after honey was fed, and one of what a sensor tells in 60 days.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use mustwright::engine::balance::Liquid;
use mustwright::engine::forecast::{
    Addition, At, Fitting, Plan, Prior, Reading, Stretch, fit, run,
};
use mustwright::engine::log::{self, Deed, Entry, Start, replay};
use mustwright::engine::outlook::{Change, Feed, Known, When, outlook};

const DAYS_60_H: f64 = 1_440.0;

fn gravity(used: f64) -> f64 {
    1.098 - 0.104 * used
}

fn forecast(criterion: &mut Criterion) {
    let temperatures = [
        Stretch {
            from_h: 0.0,
            temperature_c: 18.0,
        },
        Stretch {
            from_h: 72.0,
            temperature_c: 20.0,
        },
    ];
    let additions = [24.0, 48.0, 72.0].map(|hours| Addition {
        at: At::Hours(hours),
        yan_mg_per_l: 50.0,
    });
    let plan = Plan {
        sugar_g_per_l: 245.0,
        yan_mg_per_l: 30.0,
        pitch_g_per_l: 0.3,
        ethanol_g_per_l: 0.0,
        temperatures: &temperatures,
        additions: &additions,
        growth_factor: 0.8,
        uptake_factor: 0.4,
        holds_growth: true,
    };
    let truth = run(&plan, DAYS_60_H).expect("a run");
    assert!(truth.hours_to_use(0.95).is_some());
    criterion.bench_function("60 days", |b| {
        b.iter(|| run(black_box(&plan), DAYS_60_H));
    });

    // Read every half day, each a little off in its own direction.
    let readings: Vec<Reading> = (0..20_u32)
        .map(|index| Reading {
            hours: 12.0 * f64::from(index),
            sg: gravity(truth.used_at(12.0 * f64::from(index))) + 0.001 * f64::from(index * 7 % 5)
                - 0.002,
        })
        .collect();
    let once = || {
        let found = fit(Fitting {
            plan,
            gravity: &gravity,
            readings: black_box(&readings),
            sigma: 0.0015,
            prior: Prior::HONEY,
            horizon_h: DAYS_60_H,
        });
        let found = found.expect("a fit");
        let marks = [1.0 / 3.0, 0.95].map(|part| found.hours_to_use(part));
        let days: Vec<_> = (0..60)
            .map(|day| found.gravity_at(24.0 * f64::from(day)))
            .collect();
        (found.factors(), marks, days)
    };
    let ([_, uptake], marks, _) = once();
    assert!((uptake / 0.4 - 1.0).abs() < 0.1 && marks[1].is_some());
    criterion.bench_function("20 readings", |b| b.iter(once));
}

fn outlooks(criterion: &mut Criterion) {
    let parts = |kg: f64| Liquid {
        water_kg: 2.6 * kg,
        sugar_kg: 0.73 * kg,
        extract_kg: 0.09 * kg,
        ethanol_kg: 0.0,
    };
    let known = Known {
        must: parts(6.2),
        pitch_g_per_l: 0.325,
        tolerance_abv_percent: 18.0,
        yan_mg_per_l: 15.0,
        feeds: [24.0, 48.0, 72.0]
            .map(|hours| Feed {
                when: When::Hours(hours),
                yan_mg_per_l: 50.0,
            })
            .to_vec(),
        temperatures: vec![Stretch {
            from_h: 0.0,
            temperature_c: 20.0,
        }],
        readings: (0..20_u32)
            .map(|index| Reading {
                hours: 12.0 * f64::from(index),
                sg: 1.101 - 0.0045 * f64::from(index),
            })
            .collect(),
        changes: Vec::new(),
        now_h: 240.0,
        earlier: Vec::new(),
        lid_is_tight: false,
    };
    let unread = Known {
        readings: Vec::new(),
        ..known.clone()
    };
    let fed = Known {
        changes: vec![Change {
            hours: 120.0,
            parts: parts(0.5),
        }],
        ..known.clone()
    };
    // What a sensor tells in 60 days, as far as an outlook follows it.
    let sensed = Known {
        temperatures: (0..41_u32)
            .map(|index| Stretch {
                from_h: 36.0 * f64::from(index),
                temperature_c: 19.0 + f64::from(index * 7 % 20) / 10.0,
            })
            .collect(),
        readings: (0..60_u32)
            .map(|index| Reading {
                hours: 24.0 * f64::from(index),
                sg: 1.011 + 0.09 * (-f64::from(index) / 9.0).exp(),
            })
            .collect(),
        now_h: DAYS_60_H,
        ..known.clone()
    };
    for (name, known) in [
        ("outlook, 20 readings", known),
        ("outlook, nothing read", unread),
        ("outlook, fed with honey", fed),
        ("outlook, 60 days of a sensor", sensed),
    ] {
        assert!(outlook(&known).is_ok());
        criterion.bench_function(name, |b| b.iter(|| outlook(black_box(&known))));
    }
}

/// A log in which a sensor told for 60 days, of which the last of each hour is reckoned with.
fn replays(criterion: &mut Criterion) {
    let start = Start {
        must: Liquid {
            water_kg: 16.2,
            sugar_kg: 4.53,
            extract_kg: 0.56,
            ethanol_kg: 0.0,
        },
        tolerance_abv_percent: Some(18.0),
        ..Start::default()
    };
    let readings = (1..1_440_u32).map(|hour| Entry {
        entry: hour + 1,
        hours: f64::from(hour),
        deed: Deed::Reading(log::entry::Reading {
            sg: Some(
                1.0 + 0.1 * (-f64::from(hour) / 200.0).exp() + 0.0004 * f64::from(hour * 7 % 5),
            ),
            must_temperature_c: Some(20.0),
            ..log::entry::Reading::default()
        }),
    });
    let pitch = Entry {
        entry: 1,
        hours: 0.0,
        deed: Deed::Pitch(log::entry::Pitch::default()),
    };
    let entries: Vec<Entry> = [pitch].into_iter().chain(readings).collect();
    let state = replay(&start, &entries);
    assert!(state.points.iter().filter(|point| point.used).count() > 1_000);
    criterion.bench_function("replay, 60 days of a sensor", |b| {
        b.iter(|| replay(black_box(&start), black_box(&entries)));
    });
}

criterion_group!(benches, forecast, outlooks, replays);
criterion_main!(benches);
