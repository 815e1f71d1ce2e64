//! Whatever a log holds, replay answers: finite numbers, no panic, no volume below 0.

use mustwright::engine::json::Json;
use mustwright::engine::log::read;
use mustwright::engine::log::{Start, replay};
use proptest::prelude::*;

use super::*;
use crate::support::any_number;

/// Any number, or none.
fn maybe() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(any_number())
}

/// A number of its usual size, or none.
fn usual(low: f64, high: f64) -> impl Strategy<Value = Option<f64>> {
    prop::option::of(low..high)
}

fn any_what() -> impl Strategy<Value = What> {
    prop::sample::select(What::ALL)
}

fn any_why() -> impl Strategy<Value = Option<Why>> {
    prop::option::of(prop::sample::select(Why::ALL))
}

fn composition() -> impl Strategy<Value = Option<Composition>> {
    prop::option::of(prop_oneof![
        Just(honey_parts()),
        Just(parts(0.87, 0.11, 0.02, 0.0)),
        Just(parts(0.0, 1.0, 0.0, 0.0)),
        Just(parts(0.0, 0.0, 0.0, 1.0)),
        (any_number(), any_number()).prop_map(|(a, b)| parts(a, b, 0.0, 0.0)),
    ])
}

/// An addition whose numbers come from `number`.
fn addition<S: Strategy<Value = Option<f64>> + Clone + 'static>(
    number: S,
    gravity: S,
) -> impl Strategy<Value = Deed> {
    (
        (any_what(), any_why(), composition()),
        (number.clone(), number.clone(), number.clone()),
        (gravity, number.clone(), number),
    )
        .prop_map(
            |((what, why, composition), (kg, litres, grams), (sg, abv, change))| {
                Deed::Addition(Addition {
                    why,
                    kg,
                    litres,
                    grams,
                    composition,
                    sg,
                    abv_percent: abv,
                    ta_change_g_per_l: change,
                    so2_mg_per_l: kg,
                    sorbic_mg_per_l: litres,
                    cost: grams,
                    ..Addition::of("x", what)
                })
            },
        )
}

fn deed<S: Strategy<Value = Option<f64>> + Clone + 'static>(
    number: S,
    gravity: S,
) -> impl Strategy<Value = Deed> {
    let n = number.clone();
    prop_oneof![
        3 => (number.clone(), gravity.clone()).prop_map(|(volume_l, sg)| Deed::Reading(Reading {
            volume_l,
            sg,
            brix: volume_l,
            ta_g_per_l: volume_l,
            ..Reading::default()
        })),
        3 => gravity.clone().prop_map(|sg| Deed::Reading(Reading { sg, ..Reading::default() })),
        1 => (number.clone(), gravity.clone()).prop_map(|(volume_l, sg)| Deed::Mixed(Mixed {
            volume_l,
            sg,
            temperature_c: volume_l,
        })),
        1 => number.clone().prop_map(|tolerance| Deed::Pitch(Pitch {
            tolerance_abv_percent: tolerance,
            ..Pitch::default()
        })),
        1 => (number.clone(), n.clone()).prop_map(|(a, b)| Deed::Feed(Feed {
            name: "x".to_owned(),
            grams: a.unwrap_or(1.0),
            ammonium_yan_mg_per_g: b,
            organic_yan_mg_per_g: a,
            cost: b,
        })),
        3 => addition(number.clone(), gravity),
        1 => (number.clone(), n.clone()).prop_map(|(volume_l, loss_l)| Deed::Rack(Rack {
            into: None,
            volume_l,
            loss_l,
        })),
        1 => number.clone().prop_map(|litres| sample(litres.unwrap_or(0.2))),
        1 => number.clone().prop_map(|ml| trial(ml.unwrap_or(50.0), &[0.0, 1.0])),
        1 => number.clone().prop_map(package),
        1 => number.prop_map(|share| Deed::Part(Part { share: share.unwrap_or(0.3) })),
    ]
}

fn starts() -> Vec<Start> {
    let fruit = mustwright::engine::recipe::Recipe {
        ingredients: vec![
            crate::documents::honey(mustwright::engine::recipe::Amount::Share(1.0)),
            crate::documents::fruit(mustwright::engine::recipe::Amount::Kg(5.0)),
        ],
        ..traditional()
    };
    vec![
        start(),
        Start::of_recipe(&fruit).expect("a start"),
        Start::of_reading(5.0, 1.05, 5.0, 0.11).expect("a start"),
        Start::default(),
    ]
}

/// Fails the test where any number of a state is not finite, or a volume or mass is below 0.
fn sound(state: &State) {
    fn numbers(json: &Json, key: &str) {
        match json {
            Json::Number(number) => {
                assert!(number.is_finite(), "{key}: {number}");
                let amount = key.ends_with("_l") || key.ends_with("_per_l");
                assert!(!amount || *number >= -1e-6, "{key}: {number}");
            }
            Json::List(items) => items.iter().for_each(|item| numbers(item, key)),
            Json::Object(members) => members.iter().for_each(|(name, json)| numbers(json, name)),
            _ => {}
        }
    }
    // serde_json writes what is not finite as null: these fields are never absent.
    let mut plain = state.clone();
    plain.questions.clear();
    let text = serde_json::to_string(&plain).expect("JSON");
    let json = Json::parse(&text).expect("JSON");
    numbers(&json, "");
    let Json::Object(members) = &json else {
        panic!("no object")
    };
    for key in [
        "volume_l",
        "sg",
        "abv_percent",
        "sugar_g_per_l",
        "og",
        "packaged_l",
    ] {
        let found = members.iter().find(|(name, _)| name == key);
        assert!(
            matches!(found, Some((_, Json::Number(_)))),
            "{key}: {found:?}"
        );
    }
    let flows = state.flows;
    for liquid in [
        flows.vessel,
        flows.lost,
        flows.packaged,
        flows.parted,
        flows.in_fruit,
    ] {
        for kg in [
            liquid.water_kg,
            liquid.sugar_kg,
            liquid.extract_kg,
            liquid.ethanol_kg,
        ] {
            assert!(kg.is_finite() && kg >= -1e-6, "{kg} kg in {liquid:?}");
        }
    }
    assert!((0.0..=100.0).contains(&state.abv_percent));
    for point in &state.points {
        assert!((0.0..=1.0).contains(&point.part), "{point:?}");
    }
}

proptest! {
    #[test]
    fn hostile_logs_get_finite_answers(
        which in 0..4_usize,
        entries in prop::collection::vec((any_number(), any::<u32>(), deed(maybe().boxed(), maybe().boxed())), 0..12),
    ) {
        let entries: Vec<Entry> = entries
            .into_iter()
            .map(|(hours, entry, deed)| Entry { entry, hours, deed })
            .collect();
        sound(&replay(&starts()[which], &entries));
    }

    /// Numbers that pass for sensible, in any order.
    #[test]
    fn wild_logs_get_finite_answers(
        which in 0..4_usize,
        entries in prop::collection::vec(
            (-50.0..3000.0_f64, any::<u32>(), deed(usual(0.0, 1.0).boxed(), usual(0.97, 1.15).boxed())),
            0..25,
        ),
    ) {
        let entries: Vec<Entry> = entries
            .into_iter()
            .map(|(hours, entry, deed)| Entry { entry, hours, deed })
            .collect();
        sound(&replay(&starts()[which], &entries));
    }

    /// Reading never panics, and what it takes replay takes too, without calling a number senseless.
    #[test]
    fn whatever_is_read_can_be_replayed(deed in deed(maybe().boxed(), maybe().boxed()), hours in any_number()) {
        let text = serde_json::to_string(&Entry { entry: 1, hours, deed }).expect("JSON");
        if let Ok(entry) = read::entry(&Json::parse(&text).expect("JSON")) {
            let state = replay(&start(), &[entry]);
            prop_assert!(!codes(&state.questions).contains(&QuestionCode::NotSensible));
        }
    }
}
