//! Whatever the facts: no panic, no NaN, every step once, in order.

use std::collections::HashMap;

use mustwright::engine::plan::*;
use mustwright::engine::recipe::Recipe;
use proptest::prelude::*;

use super::{bochet, fed, hydromel, in_steps, melomel, sparkling, steps_of};
use crate::support::any_number;

fn maybe() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(any_number())
}

fn measured() -> impl Strategy<Value = Option<Measured>> {
    prop::option::of(
        (any_number(), any_number()).prop_map(|(value, hours)| Measured { value, hours }),
    )
}

fn forecast() -> impl Strategy<Value = Option<Forecast>> {
    prop::option::of((any_number(), any_number(), any_number()).prop_map(
        |(low_h, best_h, high_h)| Forecast {
            low_h,
            best_h,
            high_h,
        },
    ))
}

fn marks() -> impl Strategy<Value = Vec<Mark>> {
    let key = prop::sample::select(vec![
        "prepare",
        "mix",
        "pitch",
        "feed-1",
        "feed-2",
        "feed-3",
        "feed-4",
        "degas-2",
        "fruit-out",
        "break",
        "honey-1",
        "end-1",
        "end-2",
        "rack-1",
        "rack-2",
        "stabilise",
        "sweeten",
        "package",
        "look-1",
        "look-24",
        "so2-1",
        "taste-2",
        "nothing",
        "",
    ]);
    let is = prop_oneof![
        Just(Said::Done),
        Just(Said::Skipped),
        any_number().prop_map(|to_hours| Said::Moved { to_hours }),
    ];
    let one = (key, any_number(), is).prop_map(|(key, hours, is)| Mark {
        key: key.to_owned(),
        hours,
        is,
    });
    prop::collection::vec(one, 0..12)
}

prop_compose! {
    fn facts()(
        times in prop::collection::vec(maybe(), 9),
        (break_forecast, end_forecast) in (forecast(), forecast()),
        (gravity, ph) in (measured(), measured()),
        (hour, abv_percent, volume_l) in (maybe(), maybe(), maybe()),
        racked_h in prop::collection::vec(any_number(), 0..4),
        sulfited in any::<bool>(),
        marks in marks(),
        steeping in prop::collection::vec((any_number(), any_number(), any_number()), 0..3),
    ) -> Facts {
        Facts {
            now_h: times[0],
            mixed_h: times[1],
            pitch_h: times[2],
            pitch_hour_of_day: hour,
            break_seen_h: times[3],
            break_forecast,
            end_seen_h: times[4],
            end_forecast,
            gravity,
            abv_percent,
            ph,
            volume_l,
            readings_agree_h: times[5],
            racked_h,
            stabilised_h: times[6],
            never_primed: sulfited,
            sulfited,
            sweetened_h: times[7],
            packaged_h: times[8],
            steeping: (1..)
                .zip(steeping)
                .map(|(entry, (hours, first, last))| Steeping {
                    entry,
                    name: "oak".to_owned(),
                    hours,
                    days: [first, last],
                })
                .collect(),
            marks,
        }
    }
}

fn recipes() -> Vec<Recipe> {
    vec![
        fed(),
        melomel(),
        hydromel(),
        bochet(),
        sparkling(),
        in_steps(),
    ]
}

/// The hours by which steps stand in order: when they were done or are due, and not before what they follow. What has no hour of
/// its own, and what follows such, is left out.
fn places(steps: &[Step]) -> Vec<f64> {
    let mut known: HashMap<&str, f64> = HashMap::new();
    let mut places = Vec::new();
    for step in steps {
        let own = match step.state {
            State::Done { hours } => Some(hours),
            _ => step.due.at.map(|at| at.about_hours()),
        };
        let before = step.after.as_deref().map(|key| known.get(key).copied());
        let place = match (own, before) {
            (Some(own), None) => own,
            (Some(own), Some(Some(before))) => own.max(before),
            _ => continue,
        };
        known.insert(step.key.as_str(), place);
        places.push(place);
    }
    places
}

/// Fails where a number anywhere in it is none: as text those are `null`, so the structures are printed instead.
fn is_sound(steps: &[Step]) -> bool {
    let printed = format!("{steps:?}");
    !printed.contains("NaN") && !printed.contains("inf")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn any_facts_give_a_plan(which in 0_usize..6, facts in facts()) {
        let recipe = &recipes()[which];
        let steps = steps_of(recipe, &facts);
        prop_assert!(steps.len() >= 12);
        prop_assert!(is_sound(&steps), "{steps:?}");
        for (place, step) in steps.iter().enumerate() {
            let same = steps.iter().filter(|other| other.key == step.key);
            prop_assert_eq!(same.count(), 1);
            if let Some(after) = &step.after {
                let before = steps[..place].iter().any(|other| other.key == *after);
                prop_assert!(before, "{} comes before {}", step.key, after);
            }
            match step.due.at {
                Some(At::Instant { hours, from_h, to_h }) => {
                    prop_assert!(from_h <= hours && hours <= to_h, "{}: {:?}", step.key, step.due);
                }
                Some(At::Day { days, from_days, to_days, .. }) => {
                    prop_assert!(from_days <= days && days <= to_days, "{}: {:?}", step.key, step.due);
                }
                None => {}
            }
            for amount in &step.amounts {
                if let Amount::Feed { grams, from_missed_g, .. } = amount {
                    prop_assert!(*from_missed_g >= 0.0 && grams >= from_missed_g);
                }
            }
        }
        prop_assert!(places(&steps).is_sorted(), "{steps:?}");
    }
}
