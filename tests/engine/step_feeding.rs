//! Feeding in steps: the plan keeps to its rules, and its honey and alcohol are those of the balance.

use mustwright::engine::balance::{Liquid, ferment};
use mustwright::engine::json::Json;
use mustwright::engine::problem::ProblemCode;
use proptest::prelude::*;

use crate::calculations::{ask, faults, numbers};
use crate::carbonation::caution_codes;
use crate::support::close;

const SACK: &str = r#""litres": 10, "start_sg": 1.1, "abv_percent": 18, "tolerance_abv_percent": 19, "nitrogen_need": "medium""#;

pub const WHOLE: &str = r#"{"litres": 10, "start_sg": 1.1, "abv_percent": 18, "tolerance_abv_percent": 19, "nitrogen_need": "medium"}"#;

struct Feeding {
    at_sg: f64,
    abv: f64,
    kg: f64,
    to_sg: f64,
    litres: f64,
}

#[track_caller]
fn feedings(input: &str) -> Vec<Feeding> {
    let Ok(Json::Object(members)) = ask("step_feeding", input) else {
        panic!("{input}: {:?}", ask("step_feeding", input));
    };
    let Some((_, Json::List(list))) = members.into_iter().find(|(key, _)| key == "feedings") else {
        panic!("no feedings");
    };
    let one = |item: Json| {
        let Json::Object(members) = item else {
            panic!("{item:?}")
        };
        let number = |name: &str| match members.iter().find(|(key, _)| key == name) {
            Some((_, Json::Number(number))) => *number,
            other => panic!("{other:?}"),
        };
        Feeding {
            at_sg: number("at_sg"),
            abv: number("abv_percent"),
            kg: number("honey_kg"),
            to_sg: number("to_sg"),
            litres: number("litres"),
        }
    };
    list.into_iter().map(one).collect()
}

#[test]
fn a_sack_mead_in_steps() {
    let input = format!("{{{SACK}}}");
    let found = numbers("step_feeding", &input);
    close(found["abv_percent"], 18.0, 1e-8, "as wanted");
    let steps = feedings(&input);
    // By hand: 1.100 makes 12.9 % (0.89 of 23.8 % solids, 16.83 g/L for 1 %, in 0.99 of the litres), and each 0.015 is 39 g/L of
    // solids (0.000386 a g/L), which make 2.1 %: two whole steps and a part.
    assert_eq!(steps.len(), 3);
    for (number, step) in steps.iter().enumerate() {
        close(step.at_sg, 1.015, 1e-9, "fed at");
        let raised = step.to_sg - step.at_sg;
        if number + 1 < steps.len() {
            close(raised, 0.015, 1e-9, "raised by");
        } else {
            assert!(
                raised > 0.0 && raised <= 0.015 + 1e-9,
                "the last is what is left: {raised}"
            );
        }
    }
    assert!(steps.is_sorted_by(|a, b| a.abv < b.abv && a.litres < b.litres));
    let fed: f64 = steps.iter().map(|step| step.kg).sum();
    close(found["fed_honey_kg"], fed, 1e-12, "in all");
    // Everything together, fermented at once, is the same mead: alcohol comes from sugar, whenever it was fed.
    let honey = Liquid {
        water_kg: 0.18,
        sugar_kg: 0.7298,
        extract_kg: 0.0902,
        ethanol_kg: 0.0,
    };
    let first = Liquid::must_of_gravity(10.0, 1.1).expect("a must");
    let must =
        honey * found["first_honey_kg"] + Liquid::water(first.mass_kg() - found["first_honey_kg"]);
    close(must.state().sg, 1.1, 1e-12, "the first must");
    close(must.state().volume_l, 10.0, 1e-9, "its volume");
    let whole = must + honey * fed;
    let end = ferment(&whole, whole.sugar_kg).state();
    close(end.abv_percent, 18.0, 1e-8, "strength");
    close(found["fg"], end.sg, 1e-10, "FG");
    close(found["litres"], end.volume_l, 1e-9, "litres");
    close(
        found["whole_sg"],
        whole.state().sg,
        1e-12,
        "what no hydrometer reads",
    );
    assert!(found["whole_sg"] > 1.12);
    // A fifth of the vessel is free after the last feeding.
    close(found["vessel_l"] * 0.8, steps[2].litres, 1e-9, "vessel");
}

/// Practice: first must's sugar and half of the fed, at most 250 mg/L, all before the first must's break.
#[test]
fn nitrogen_for_the_first_must() {
    let found = numbers("step_feeding", &format!(r#"{{{SACK}, "feeding": "lean"}}"#));
    let half = 0.5 * found["fed_honey_kg"] * 0.82 * 1000.0 / 10.0;
    // Nutrition reference section 4 for 1.100: P = 23.77, S = 261.0 g/L.
    let wanted = 0.6 * 0.9 * (261.0 + half);
    close(found["nitrogen_target_mg_per_l"], wanted, 0.3, "target");
    let full = numbers(
        "step_feeding",
        &format!(r#"{{{SACK}, "feeding": "full", "must_yan_mg_per_l": 30}}"#),
    );
    assert_eq!(full["nitrogen_target_mg_per_l"], 250.0);
    assert_eq!(full["nitrogen_deficit_mg_per_l"], 220.0);
    let rich = numbers(
        "step_feeding",
        &format!(r#"{{{SACK}, "must_yan_mg_per_l": 900}}"#),
    );
    assert_eq!(rich["nitrogen_deficit_mg_per_l"], 0.0);
    // The break is the first must's own: a third of the way to where it would end.
    let fg = 1.1 - 3.0 * (1.1 - found["one_third_break_sg"]);
    assert!((0.995..1.001).contains(&fg), "{fg}");
}

#[test]
fn faults_and_cautions() {
    let one = |code, path: &str| vec![(code, path.to_owned())];
    let with = |from: &str, to: &str| {
        let changed = SACK.replace(from, to);
        assert_ne!(changed, SACK);
        faults("step_feeding", &format!("{{{changed}}}"))
    };
    assert_eq!(
        with("1.1,", "1.111,"),
        one(ProblemCode::OutOfRange, "/start_sg")
    );
    assert_eq!(
        with("18,", "18.1,"),
        one(ProblemCode::YeastCannotReach, "/abv_percent")
    );
    assert_eq!(
        with("18,", "12,"),
        one(ProblemCode::OutOfRange, "/abv_percent"),
        "the first must makes that by itself"
    );
    assert_eq!(
        with("\"medium\"", "\"some\""),
        one(ProblemCode::UnknownWord, "/nitrogen_need")
    );
    let more = |more: &str| faults("step_feeding", &format!("{{{SACK}, {more}}}"));
    assert_eq!(
        more(r#""step_sg": 0.021"#),
        one(ProblemCode::OutOfRange, "/step_sg")
    );
    assert_eq!(
        more(r#""feed_at_sg": 1.02"#),
        one(ProblemCode::OutOfRange, "/feed_at_sg")
    );
    let stone =
        r#""composition": {"water": 0, "fermentable": 0, "unfermentable": 0, "insoluble": 1}"#;
    assert_eq!(
        more(stone),
        one(ProblemCode::OutsideTheModel, "/composition")
    );
    let thin = r#""composition": {"water": 0.95, "fermentable": 0.05, "unfermentable": 0, "insoluble": 0}"#;
    assert_eq!(
        more(thin),
        one(ProblemCode::OutsideTheModel, "/composition")
    );
    assert_eq!(
        caution_codes("step_feeding", &format!("{{{SACK}}}")),
        ["stir_before_feeding", "never_read_at_once"]
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Whatever the start, the steps and the honey, the plan ends at the strength wanted and never feeds above its gravity,
    /// unless the sugar ended there.
    #[test]
    fn every_plan_ends_as_wanted(
        start in 1.03_f64..1.11, at in 0.99..1.015, step in 0.005_f64..0.02, wanted in 10.0_f64..24.0, unfermentable in 0.0..0.25,
    ) {
        let composition = format!(
            r#"{{"water": 0.18, "fermentable": {}, "unfermentable": {unfermentable}, "insoluble": 0}}"#,
            0.82 - unfermentable,
        );
        let input = format!(
            r#"{{"litres": 5, "start_sg": {start}, "abv_percent": {wanted}, "tolerance_abv_percent": 25,
            "nitrogen_need": "low", "feed_at_sg": {at}, "step_sg": {step}, "composition": {composition}}}"#
        );
        match ask("step_feeding", &input) {
            Ok(_) => {
                let found = numbers("step_feeding", &input);
                prop_assert!((found["abv_percent"] - wanted).abs() < 1e-7);
                for feeding in feedings(&input) {
                    prop_assert!(feeding.kg > 0.0 && feeding.to_sg > feeding.at_sg);
                    prop_assert!(feeding.to_sg - feeding.at_sg <= step + 1e-9);
                    prop_assert!(feeding.abv < wanted);
                }
            }
            Err(problems) => {
                // The only reason: the first must is strong enough by itself.
                prop_assert!(problems.len() == 1 && problems[0].path == "/abv_percent", "{input}: {problems:?}");
            }
        }
    }
}
