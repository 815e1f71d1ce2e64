//! The must as planned and as made, and the likely reason: each with a log that earns it.

use std::collections::HashSet;

use mustwright::engine::log::{ReasonCode, Start};
use mustwright::engine::recipe::{Amount, Recipe};

use super::*;
use crate::documents::{fruit, honey};
use crate::support::close;

fn reason(start: &Start, entries: Vec<Entry>) -> Option<(ReasonCode, Vec<(&'static str, f64)>)> {
    let compared = after(start, entries).compared.expect("a comparison");
    compared.reason.map(|reason| {
        let numbers = reason.arguments.iter().map(|(name, _)| {
            let number = reason.arguments.number(name);
            (name, number.expect("a number"))
        });
        (reason.code, numbers.collect())
    })
}

fn with_fruit() -> Start {
    let recipe = Recipe {
        ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(6.0))],
        aim: mustwright::engine::recipe::Aim::Target(mustwright::engine::recipe::Target::Gravity(
            1.100,
        )),
        ..traditional()
    };
    Start::of_recipe(&recipe).expect("a start")
}

#[test]
fn each_reason_is_told_where_it_is_likely() {
    let start = start();
    let planned = plan(&start).must_sg;
    let volume = plan(&start).must_volume_l;
    let warm = Deed::Reading(Reading {
        sg: Some(planned - 0.0047),
        read_sg: Some(planned - 0.0047),
        temperature_c: Some(35.0),
        ..Reading::default()
    });
    let fruity = with_fruit();
    let cases: Vec<(&Start, Vec<Entry>, ReasonCode, f64, f64)> = vec![
        (
            &start,
            vec![
                at(0.0, mixed(volume, planned - 0.012)),
                at(2.0, reads(planned)),
            ],
            ReasonCode::Layered,
            planned - 0.012,
            1e-9,
        ),
        (
            &start,
            vec![at(0.0, reads(planned - 0.030))],
            ReasonCode::Layered,
            planned - 0.030,
            1e-9,
        ),
        (
            &start,
            vec![at(0.0, warm)],
            ReasonCode::WarmSample,
            35.0,
            1e-9,
        ),
        (
            &fruity,
            vec![at(0.0, reads(plan(&fruity).must_sg))],
            ReasonCode::FruitNotOutYet,
            1.100,
            1e-6,
        ),
        // 20 L of 1.086 in 22 L.
        (
            &start,
            vec![at(
                0.0,
                mixed(volume + 2.0, 1.0 + (planned - 1.0) * 20.0 / 22.0),
            )],
            ReasonCode::MoreWater,
            2.0,
            1e-9,
        ),
        (
            &start,
            vec![at(0.0, reads(1.0 + (planned - 1.0) * 20.0 / 21.0))],
            ReasonCode::MoreWater,
            1.0,
            0.03,
        ),
        (
            &start,
            vec![at(
                0.0,
                mixed(volume - 2.0, 1.0 + (planned - 1.0) * 20.0 / 18.0),
            )],
            ReasonCode::LessWater,
            2.0,
            1e-9,
        ),
        (
            &start,
            vec![at(0.0, mixed(volume, planned + 0.010))],
            ReasonCode::MoreHoney,
            0.63,
            0.05,
        ),
        (
            &start,
            vec![at(0.0, mixed(volume, planned - 0.012))],
            ReasonCode::LessHoney,
            0.76,
            0.05,
        ),
        // 5.4 kg at 21 % water in place of 18 %.
        (
            &start,
            vec![at(0.0, mixed(volume, 1.0 + (planned - 1.0) * 0.79 / 0.82))],
            ReasonCode::HoneyWetterThanThought,
            21.0,
            0.3,
        ),
    ];
    let mut seen = HashSet::new();
    for (start, entries, code, first, tolerance) in cases {
        let found = reason(start, entries.clone());
        let Some((told, arguments)) = found else {
            panic!("no reason in place of {code:?}: {entries:?}")
        };
        assert_eq!(told, code, "{arguments:?} {entries:?}");
        close(arguments[0].1, first, tolerance, &format!("{code:?}"));
        seen.insert(code);
    }
    let missing: Vec<_> = ReasonCode::ALL
        .iter()
        .filter(|code| !seen.contains(code))
        .collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
}

#[test]
fn what_is_as_planned_needs_no_reason() {
    let start = start();
    let planned = plan(&start).must_sg;
    for off in [-0.002, 0.0, 0.002] {
        assert_eq!(
            reason(&start, vec![at(0.0, mixed(20.0, planned + off))]),
            None
        );
    }
    // Corrected already: the warmth explains nothing.
    let corrected = Deed::Reading(Reading {
        sg: Some(planned - 0.0047),
        read_sg: Some(planned - 0.0094),
        temperature_c: Some(35.0),
        ..Reading::default()
    });
    let told = reason(&start, vec![at(0.0, corrected)]).map(|(code, _)| code);
    assert_eq!(told, Some(ReasonCode::MoreWater));
}

#[test]
fn without_a_plan_or_a_reading_nothing_is_compared() {
    assert_eq!(after(&start(), vec![at(0.0, pitch())]).compared, None);
    let found = Start::of_reading(5.0, 1.090, 0.0, 0.11).expect("a start");
    assert_eq!(after(&found, vec![at(1.0, reads(1.080))]).compared, None);
}

/// A gravity within hours of the pitch is still the must's; a day later it is not.
#[test]
fn the_first_hours_still_tell_the_must() {
    let soon = after(&start(), vec![at(0.0, pitch()), at(3.0, reads(1.080))]);
    assert_eq!(soon.abv_percent, 0.0);
    close(soon.og, 1.080, 1e-9, "OG");
    let late = after(&start(), vec![at(0.0, pitch()), at(30.0, reads(1.080))]);
    assert!(late.abv_percent > 0.3);
    assert_eq!(late.compared, None);
}

/// A volume as planned explains nothing, however well it would fit: then it is the honey.
#[test]
fn water_is_no_reason_where_the_volume_is_as_planned() {
    let start = start();
    let (sg, litres) = (plan(&start).must_sg, plan(&start).must_volume_l);
    let of = |more: f64| {
        let entries = vec![at(0.0, mixed(litres * (1.0 + more), sg - 0.0022))];
        reason(&start, entries).map(|(code, _)| code)
    };
    let as_planned = of(0.0145);
    assert!(as_planned.is_some(), "0.0022 is told");
    assert_ne!(as_planned, Some(ReasonCode::MoreWater));
    assert_eq!(of(0.025), Some(ReasonCode::MoreWater));
}
