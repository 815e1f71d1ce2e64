//! How long a forecast of 60 days takes, and a fit of 20 readings with the interval of its marks.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use mustwright::engine::forecast::{
    Addition, At, Fitting, Plan, Prior, Reading, Stretch, fit, run,
};

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

criterion_group!(benches, forecast);
criterion_main!(benches);
